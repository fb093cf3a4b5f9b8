"""A season plan judged by the words of the season documents, and every plan there is.

Plain loops over the document: no solver, none of the engine's types. Not for the site,
which has `scheduling.domain.planner.season_check`.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import product
from typing import Any

from tests.benchmarks.plain_season import holders_of, minutes_of

Document = dict[str, Any]
Done = dict[str, tuple[int, ...]]  # units of each item, session by session


def read_units(problem: Document, plan: Document) -> Done:
    """Return the units of a plan document, session by session."""
    names = [session["id"] for session in problem["sessions"]]
    return {
        item["id"]: tuple(plan["units"].get(item["id"], {}).get(name, 0) for name in names)
        for item in problem["items"]
    }


def judge_season(problem: Document, done: Done) -> Iterator[str]:
    """Yield a sentence for everything a plan breaks."""
    items = {item["id"]: item for item in problem["items"]}
    for item in problem["items"]:
        yield from item_faults(problem, items, item, done)
    for number, session in enumerate(problem["sessions"]):
        here = [item for item in problem["items"] if done[item["id"]][number]]
        yield from _session_faults(problem, number, session, here, done)
    there = {stock["id"]: stock["deliveries"] for stock in problem["materials"]}
    for name in sorted({name for item in problem["items"] for name in item["materials"]}):
        for end in range(len(problem["sessions"])):
            used = sum(
                item["materials"].get(name, 0) * sum(done[item["id"]][: end + 1])
                for item in problem["items"]
            )
            if used > sum(number for at, number in there.get(name, ()) if at <= end):
                yield f"{used} {name} used by session {end}."


def item_faults(
    problem: Document, items: dict[str, Document], item: Document, done: Done
) -> Iterator[str]:
    """Yield what the units of one item break."""
    name, mine = item["id"], done[item["id"]]
    if sum(mine) > item["units"] or min(mine) < 0:
        yield f"{sum(mine)} units of {name}."
    for number, units in enumerate(mine):
        if not units:
            continue
        if not item["window"][0] <= number <= item["window"][1]:
            yield f"{name} outside its window, in session {number}."
        if problem["sessions"][number]["people_expected"] < item["crew"]["min"]:
            yield f"no crew for {name} in session {number}."
        for before, is_same_session in item["after"]:
            ends = number + 1 if is_same_session else number
            if sum(done[before][:ends]) < items[before]["units"]:
                yield f"{name} in session {number} before {before} is finished."
    if item["closes"] is not None and mine != done[item["closes"]]:
        yield f"{name} does not close what {item['closes']} opens."


def _session_faults(
    problem: Document, number: int, session: Document, here: list[Document], done: Done
) -> Iterator[str]:
    units = {item["id"]: done[item["id"]][number] for item in here}
    for classes, person_min in session["capacity"]:
        asked = sum(
            units[item["id"]] * demand["minutes_per_unit"]
            for item in here
            for demand in item["demands"]
            if holders_of(problem, demand) <= set(classes)
        )
        if asked > person_min:
            yield f"{asked} minutes of classes {classes} in session {number}."
    crew = {i["id"]: Fraction(units[i["id"]] * minutes_of(i), i["crew"]["max"]) for i in here}
    usable = session["usable_minutes"]
    if sum(crew.values()) > session["most_crews"] * usable:
        yield f"too many crew-minutes in session {number}."
    for place in sorted({item["place"] for item in here}):
        if sum(crew[item["id"]] for item in here if item["place"] == place) > usable:
            yield f"place {place} is overfull in session {number}."
    for tool in sorted({tool for item in here for tool in item["tools"]}):
        used = sum(item["tools"].get(tool, 0) * crew[item["id"]] for item in here)
        if used > session["tools"].get(tool, 0) * usable:
            yield f"too little {tool} in session {number}."


def value_of(problem: Document, done: Done) -> int:
    """Return what a plan is worth by the words of the documents."""
    value = 0
    for item in problem["items"]:
        units = done[item["id"]]
        worth = zip(problem["discount"], units, strict=True)
        value += item["value_per_unit"] * sum(discount * number for discount, number in worth)
        value -= item["split_penalty"] * max(0, sum(number > 0 for number in units) - 1)
        if item["finish_by"] is not None:
            ends = range(item["finish_by"], len(units))
            late = sum(sum(units[: end + 1]) < item["units"] for end in ends)
            value -= item["late_penalty"] * late
    return value


def best_of_all_plans(problem: Document) -> int:
    """Return the best value over every plan of a tiny season; doing nothing is one."""
    number = len(problem["sessions"])
    names = [item["id"] for item in problem["items"]]
    items = {item["id"]: item for item in problem["items"]}
    nothing = dict.fromkeys(names, (0,) * number)
    options = []
    for item in problem["items"]:
        alone = {**item, "after": [], "closes": None}
        ways = product(range(item["units"] + 1), repeat=number)
        options.append(
            [
                way
                for way in ways
                if not any(item_faults(problem, items, alone, {**nothing, item["id"]: way}))
            ]
        )
    plans = (dict(zip(names, chosen, strict=True)) for chosen in product(*options))
    return max(value_of(problem, plan) for plan in plans if not any(judge_season(problem, plan)))
