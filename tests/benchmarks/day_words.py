"""A day roster judged by the words of the day documents, and every roster there is.

Plain loops over the document: no solver, none of the engine's types. It judges whatever
the benchmarks compare, and tells the best of all rosters of tiny days. Not for the site,
which has `scheduling.domain.verify`.
"""

from collections.abc import Iterator
from itertools import product
from typing import Any

from tests.benchmarks.plain_day import ADULT, LEAST_WITH_YOUNG, UNDER_12, band_of, holds, may_do

Document = dict[str, Any]
OneRound = tuple[str | None, ...]  # what each person does, in the document's order


def judge_day(problem: Document, roster: Document) -> list[str]:
    """Return a sentence for everything a day roster breaks; empty when it breaks nothing."""
    doing = by_round(problem, roster["assignments"])
    faults = []
    for round_, tasks in enumerate(doing):
        faults += [f"Round {round_}: {fault}" for fault in round_faults(problem, round_, tasks)]
    faults += day_faults(problem, doing)
    most = {task["id"]: task for task in problem["tasks"]}
    for name, units in roster["units"].items():
        if name not in most or len(units) != problem["rounds"] or min(units) < 0:
            return [*faults, f"The units of {name} cannot be read."]
    return faults + unit_faults(problem, doing, roster["units"])


def by_round(problem: Document, assignments: Document) -> list[OneRound]:
    """Return what each person does, round by round."""
    nothing = [None] * problem["rounds"]
    rows = [assignments.get(person["id"], nothing) for person in problem["people"]]
    return [tuple(row[round_] for row in rows) for round_ in range(problem["rounds"])]


def round_faults(problem: Document, round_: int, doing: OneRound) -> Iterator[str]:
    """Yield what one round breaks by itself."""
    crews: dict[str, list[Document]] = {}
    tasks = {task["id"]: task for task in problem["tasks"]}
    for person, name in zip(problem["people"], doing, strict=True):
        if name is None:
            continue
        if not may_do(problem, person, tasks[name], round_):
            yield f"{person['id']} may not do {name}."
        crews.setdefault(name, []).append(person)
    for name, crew in crews.items():
        zone = [
            p
            for other in crews
            for p in crews[other]
            if tasks[other]["zone"] == tasks[name]["zone"]
        ]
        yield from _crew_faults(problem, tasks[name], crew, zone)
    for tool, on_hand in problem["tools"].items():
        if sum(tasks[name]["tools"].get(tool, 0) for name in crews) > on_hand:
            yield f"more {tool} than {on_hand}."
    aid = problem["rules"]["first_aid_skill"]
    if not any(
        person["present"][round_]
        and holds(person, aid, problem["on"])
        and (name is None or not _is_hard(tasks[name]))
        for person, name in zip(problem["people"], doing, strict=True)
    ):
        yield "nobody with first aid is free of heavy and powered work."


def _is_hard(task: Document) -> bool:
    return bool(task["heavy"] or task["powered_minutes_per_round"])


def _crew_faults(
    problem: Document, task: Document, crew: list[Document], zone: list[Document]
) -> Iterator[str]:
    rules, name = problem["rules"], task["id"]
    if not task["crew"]["min"] <= len(crew) <= task["crew"]["max"]:
        yield f"{len(crew)} people at {name}."
    for skill, count in ((rules["lead_skill"], 1), *task["skills"].items()):
        if sum(holds(person, skill, problem["on"]) for person in crew) < count:
            yield f"too few with {skill} at {name}."
    young = [person for person in crew if person["age"] < ADULT]
    if not young:
        return
    checked = [p for p in crew if p["checked"] and p["age"] >= ADULT]
    weights = rules["supervision"]["weights"]
    weight = sum(weights[band_of(person["age"])] for person in young)
    if len(checked) * rules["supervision"]["denominator"] < weight:
        yield f"too few checked adults at {name}."
    if len(crew) < LEAST_WITH_YOUNG:
        yield f"a young person in a crew of {len(crew)} at {name}."
    in_zone = sum(p["checked"] and p["age"] >= ADULT for p in zone)
    if in_zone < rules["checked_adults_per_zone"]:
        yield f"{in_zone} checked adults in the zone of {name}."
    here = {person["id"] for person in crew}
    for person in young:
        if person["age"] < UNDER_12 and person["guardian"] not in (None, *here):
            yield f"{person['id']} is at {name} without the guardian."
    for group in sorted({person["group"] for person in young} - {None}):
        if sum(person["group"] == group for person in crew) < rules["smallest_class_part"]:
            yield f"too small a part of class {group} at {name}."
        if not any(person["staff_of"] == group for person in crew):
            yield f"no staff of class {group} at {name}."


def day_faults(problem: Document, doing: list[OneRound]) -> Iterator[str]:
    """Yield what rounds break together: rest, heavy rounds, kneeling, powered minutes."""
    rules = problem["rules"]
    tasks: Document = {task["id"]: task for task in problem["tasks"]}
    for number, person in enumerate(problem["people"]):
        mine = [tasks.get(one[number]) for one in doing]
        heavy = _longest([task is not None and task["heavy"] for task in mine])
        if heavy > rules["heavy_rounds_in_a_row"]:
            yield f"{person['id']} has {heavy} heavy rounds in a row."
        worked = _longest([task is not None for task in mine])
        if worked > rules["rounds_before_rest"][band_of(person["age"])]:
            yield f"{person['id']} works {worked} rounds without rest."
        kneeling = sum(task is not None and task["kneeling"] for task in mine)
        if (
            "no long kneeling" in person["restrictions"]
            and kneeling > rules["long_kneeling_rounds"]
        ):
            yield f"{person['id']} kneels for {kneeling} rounds."
        powered = sum(
            task["powered_minutes_per_round"]
            for task in mine
            if task is not None
            and any(holds(person, skill, problem["on"]) for skill in task["skills"])
        )
        if powered > rules["powered_minutes_per_person"]:
            yield f"{person['id']} has {powered} minutes of powered work."


def _longest(flags: list[bool]) -> int:
    longest = run = 0
    for flag in flags:
        run = run + 1 if flag else 0
        longest = max(longest, run)
    return longest


def points_by_round(problem: Document, doing: list[OneRound]) -> dict[str, list[int]]:
    """Return the points put into each task by the end of each round."""
    each = problem["rules"]["points_per_round"]
    total = {task["id"]: 0 for task in problem["tasks"]}
    put_in: dict[str, list[int]] = {name: [] for name in total}
    for one in doing:
        for person, name in zip(problem["people"], one, strict=True):
            if name is not None:
                total[name] += each[band_of(person["age"])]
        for name, points in total.items():
            put_in[name].append(points)
    return put_in


def unit_faults(problem: Document, doing: list[OneRound], units: Document) -> list[str]:
    """Return what the units of a roster break: points, sizes, closing."""
    faults = []
    put_in = points_by_round(problem, doing)
    nothing = [0] * problem["rounds"]
    for task in problem["tasks"]:
        name, closes = task["id"], task["closes"]
        mine = units.get(name, nothing)
        for end in range(problem["rounds"]):
            if sum(mine[: end + 1]) * task["points_per_unit"] > put_in[name][end]:
                faults.append(f"{name} is further in round {end} than its crews' points allow.")
            if closes is not None and sum(mine[: end + 1]) > sum(units.get(closes, nothing)[:end]):
                faults.append(f"{name} closes in round {end} what {closes} has not opened.")
        if sum(mine) > task["units"]:
            faults.append(f"{name} has more units than there are.")
        if closes is not None and sum(mine) != sum(units.get(closes, nothing)):
            faults.append(f"{name} does not close what {closes} opens.")
    return faults


def count_units(problem: Document, doing: list[OneRound]) -> dict[str, list[int]]:
    """Return the most units that crews can have done, what is opened closed again.

    More units are never worse: values are not negative and units cost nothing else.
    """
    put_in = points_by_round(problem, doing)
    rounds = range(problem["rounds"])
    can = {
        t["id"]: [min(t["units"], put_in[t["id"]][end] // t["points_per_unit"]) for end in rounds]
        for t in problem["tasks"]
    }
    for task in problem["tasks"]:
        if task["closes"] is None:
            continue
        opened, closed = can[task["closes"]], can[task["id"]]
        can[task["id"]] = [min(closed[end], opened[end - 1] if end else 0) for end in rounds]
        most = can[task["id"]][-1]
        can[task["closes"]] = [min(units, most) for units in opened]
    return {
        name: [sums[end] - (sums[end - 1] if end else 0) for end in rounds]
        for name, sums in can.items()
    }


def worth_of(problem: Document, doing: list[OneRound], units: Document) -> dict[str, int]:
    """Return the staged objective of a roster by the words of the documents."""
    done = {task["id"]: sum(units.get(task["id"], ())) for task in problem["tasks"]}
    value = {"required_left": 0, "other_done": 0, "changes": 0, "comfort": 0}
    for task in problem["tasks"]:
        if task["required"]:
            value["required_left"] += task["value_per_unit"] * (task["units"] - done[task["id"]])
        else:
            value["other_done"] += task["value_per_unit"] * done[task["id"]]
    told = problem["published"] or {}
    for number, person in enumerate(problem["people"]):
        for round_, name in enumerate(told.get(person["id"], ())):
            value["changes"] += person["present"][round_] and doing[round_][number] != name
    value["comfort"] = _comfort(problem, doing)
    return value


def _comfort(problem: Document, doing: list[OneRound]) -> int:
    weights, people = problem["weights"], problem["people"]
    tasks = {task["id"]: task for task in problem["tasks"]}
    liked = unpaired = 0
    heavy = [0] * len(people)
    for one in doing:
        spare: dict[str, int] = {}
        for number, name in enumerate(one):
            if name is None:
                continue
            person = people[number]
            liked += person["preferences"].get(tasks[name]["kind"], 0)
            spare[name] = spare.get(name, 0) + {0: 1, 1: 0, 2: -2}[person["experience"]]
            heavy[number] += tasks[name]["heavy"]
        unpaired += sum(max(0, novices) for novices in spare.values())
    return int(
        weights["preference"] * liked
        - weights["unpaired_novice"] * unpaired
        - weights["most_heavy_rounds"] * max(heavy, default=0)
    )


def rank(value: dict[str, int]) -> tuple[int, ...]:
    """Return an objective as a tuple that is larger when better."""
    left, changes = value["required_left"], value["changes"]
    return (-left, value["other_done"], -changes, value["comfort"])


def every_roster(problem: Document) -> Iterator[list[OneRound]]:
    """Yield every roster of a tiny day that breaks nothing."""
    names = [None, *(task["id"] for task in problem["tasks"])]
    rounds = []
    for round_ in range(problem["rounds"]):
        choices = [names if p["present"][round_] else [None] for p in problem["people"]]
        every = product(*choices)
        rounds.append([one for one in every if not any(round_faults(problem, round_, one))])
    for doing in product(*rounds):
        if not any(day_faults(problem, list(doing))):
            yield list(doing)


def best_of_all(problem: Document) -> dict[str, int] | None:
    """Return the best objective over every roster of a tiny day; None when there is none."""
    values = (
        worth_of(problem, doing, count_units(problem, doing)) for doing in every_roster(problem)
    )
    return max(values, key=rank, default=None)
