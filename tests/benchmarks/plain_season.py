"""The season problem written plainly, straight from the words of the season documents.

Units by item and session, a 0/1 variable for "does some of it" and for "finished", nothing
clever: what the engine has to beat. Front door: `solve_season_plainly`. Not a part of the
engine.
"""

from dataclasses import dataclass, field
from typing import Any

from tests.benchmarks.plain_terms import Aim, PlainAnswer, PlainModel, Sum, solve_plainly

Document = dict[str, Any]


@dataclass(slots=True)
class PlainSeason:
    """The plain model of a season: variables by item and number of the session."""

    problem: Document
    model: PlainModel = field(default_factory=PlainModel)
    units: dict[tuple[str, int], int] = field(default_factory=dict)
    used: dict[tuple[str, int], int] = field(default_factory=dict)
    finished: dict[tuple[str, int], int] = field(default_factory=dict)

    def until(self, item: str, end: int, factor: int) -> Sum:
        """Return the units of an item done by the end of a session."""
        sessions = range(end + 1)
        return [(factor, self.units[item, s]) for s in sessions if (item, s) in self.units]

    def uses(self, item: Document) -> list[tuple[int, int]]:
        """Return the sessions an item may use, each with the variable that says so."""
        first, last = item["window"]
        keys = ((item["id"], session) for session in range(first, last + 1))
        return [(key[1], self.used[key]) for key in keys if key in self.used]


def solve_season_plainly(
    problem: Document, solver: str, seconds: float, *, seed: int = 1, workers: int = 2
) -> tuple[Document, PlainAnswer]:
    """Return the answer as a season plan, and what the solver said."""
    season = build_plain_season(problem)
    answer = solve_plainly(season.model, solver, seconds, seed=seed, workers=workers)
    plan: Document = {
        "format": "season-plan/1",
        "problem": problem["name"],
        "status": answer.status,
        "units": {},
    }
    if answer.at is not None:
        for (item, session), units in sorted(season.units.items()):
            if answer.at[units]:
                by_session = plan["units"].setdefault(item, {})
                by_session[problem["sessions"][session]["id"]] = answer.at[units]
        plan["objective"] = answer.values["value"]
        plan["bound"] = answer.bounds.get("value")
        plan["seconds"] = round(answer.stage_seconds["value"], 3)
    return plan, answer


def holders_of(problem: Document, demand: Document) -> frozenset[int]:
    """Return the classes of people who can meet a demand."""
    return frozenset(
        kind["id"]
        for kind in problem["classes"]
        if kind["band"] >= demand["least_band"]
        and (demand["skill"] is None or demand["skill"] in kind["skills"])
    )


def minutes_of(item: Document) -> int:
    """Return the person-minutes of one unit of an item."""
    return sum(demand["minutes_per_unit"] for demand in item["demands"])


def build_plain_season(problem: Document) -> PlainSeason:
    """Return the whole model of a season document."""
    season = PlainSeason(problem)
    for item in problem["items"]:
        _add_item(season, item)
    items = {item["id"]: item for item in problem["items"]}
    for item in problem["items"]:
        for before, is_same_session in item["after"]:
            _add_order(season, items[before], item, is_same_session)
        if item["closes"] is not None:
            _add_closing(season, item)
    for number in range(len(problem["sessions"])):
        _add_session(season, number)
    _add_stock(season)
    _add_aim(season)
    return season


def _add_item(season: PlainSeason, item: Document) -> None:
    first, last = item["window"]
    for session in range(first, last + 1):
        if season.problem["sessions"][session]["people_expected"] < item["crew"]["min"]:
            continue
        units = season.model.add_variable(item["units"])
        used = season.model.add_variable()
        season.model.at_most([(1, units), (-item["units"], used)], 0)
        season.units[item["id"], session], season.used[item["id"], session] = units, used
    season.model.at_most(season.until(item["id"], last, 1), item["units"])


def _finished_by(season: PlainSeason, item: Document, end: int) -> Sum:
    """Return a 0/1 variable that may be 1 only if all of an item is done by then."""
    if end < 0:
        return []
    if (item["id"], end) not in season.finished:
        finished = season.model.add_variable()
        season.finished[item["id"], end] = finished
        done = season.until(item["id"], end, 1)
        season.model.at_least([*done, (-item["units"], finished)], 0)
    return [(-1, season.finished[item["id"], end])]


def _add_order(
    season: PlainSeason, before: Document, item: Document, is_same_session: bool
) -> None:
    for session, used in season.uses(item):
        end = session if is_same_session else session - 1
        season.model.at_most([(1, used), *_finished_by(season, before, end)], 0)


def _add_closing(season: PlainSeason, item: Document) -> None:
    for session in range(len(season.problem["sessions"])):
        both = season.until(item["id"], session, 1) + season.until(item["closes"], session, -1)
        season.model.at_most(both, 0)
        season.model.at_least(both, 0)


def _add_session(season: PlainSeason, number: int) -> None:
    session = season.problem["sessions"][number]
    here = [i for i in season.problem["items"] if (i["id"], number) in season.units]
    for classes, person_min in session["capacity"]:
        asked = []
        for item in here:
            only = [d for d in item["demands"] if holders_of(season.problem, d) <= set(classes)]
            minutes = sum(demand["minutes_per_unit"] for demand in only)
            if minutes:
                asked.append((minutes, season.units[item["id"], number]))
        season.model.at_most(asked, person_min)
    # Crew-minutes are fractions: rows are multiplied by what makes them whole.
    whole = 60 * 7
    assert all(whole % item["crew"]["max"] == 0 for item in here), "a crew of 8 or more"
    crew = {
        item["id"]: (
            whole * minutes_of(item) // item["crew"]["max"],
            season.units[item["id"], number],
        )
        for item in here
    }
    usable = whole * session["usable_minutes"]
    season.model.at_most(crew.values(), session["most_crews"] * usable)
    for place in sorted({item["place"] for item in here}):
        season.model.at_most([crew[i["id"]] for i in here if i["place"] == place], usable)
    for tool in sorted({tool for item in here for tool in item["tools"]}):
        taken = [
            (item["tools"][tool] * crew[item["id"]][0], crew[item["id"]][1])
            for item in here
            if tool in item["tools"]
        ]
        season.model.at_most(taken, session["tools"].get(tool, 0) * usable)


def _add_stock(season: PlainSeason) -> None:
    there = {stock["id"]: stock["deliveries"] for stock in season.problem["materials"]}
    names = sorted({name for item in season.problem["items"] for name in item["materials"]})
    for name in names:
        for end in range(len(season.problem["sessions"])):
            used = [
                part
                for item in season.problem["items"]
                if name in item["materials"]
                for part in season.until(item["id"], end, item["materials"][name])
            ]
            delivered = sum(number for at, number in there.get(name, ()) if at <= end)
            season.model.at_most(used, delivered)


def _add_aim(season: PlainSeason) -> None:
    problem = season.problem
    last = len(problem["sessions"]) - 1
    value = {item["id"]: item["value_per_unit"] for item in problem["items"]}
    parts = [
        (value[item] * problem["discount"][session], units)
        for (item, session), units in season.units.items()
    ]
    constant = 0
    for item in problem["items"]:
        uses = [(-1, used) for _, used in season.uses(item)]
        if item["split_penalty"] and len(uses) > 1:
            extra = season.model.add_variable(last)
            season.model.at_least([(1, extra), *uses], -1)
            parts.append((-item["split_penalty"], extra))
        if item["finish_by"] is not None:
            for end in range(item["finish_by"], last + 1):
                constant -= item["late_penalty"]
                parts += [
                    (item["late_penalty"], finished)
                    for _, finished in _finished_by(season, item, end)
                ]
    season.model.aims = [Aim("value", tuple(parts), constant, False)]
