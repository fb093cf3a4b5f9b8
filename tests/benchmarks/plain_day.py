"""The day problem written plainly, straight from the words of the day documents.

A 0/1 variable for each person, task and round, one for each crew, nothing clever: what
the engine has to beat. Front door: `solve_day_plainly`. Not a part of the engine.
"""

from dataclasses import dataclass, field
from typing import Any

from tests.benchmarks.plain_terms import Aim, PlainAnswer, PlainModel, Sum, solve_plainly

Document = dict[str, Any]
Cell = tuple[str, str, int]  # person, task, round
ADULT, UNDER_12 = 18, 12
LEAST_WITH_YOUNG = 3


def band_of(age: int) -> int:
    """Return the age band of the documents: under 12, 12 to 15, 16 to 17, adult."""
    return (age >= 12) + (age >= 16) + (age >= ADULT)


def holds(person: Document, skill: str, on: str) -> bool:
    """Say whether a person holds a skill on a day; the last day counts."""
    return bool(person["skills"].get(skill, "") >= on)


def may_do(problem: Document, person: Document, task: Document, round_: int) -> bool:
    """Say whether presence, age and restrictions allow a person at a task in a round."""
    limits = person["restrictions"]
    return bool(
        person["present"][round_]
        and person["age"] >= task["minimum_age"]
        and not (task["heavy"] and "no lifting" in limits)
        and not (task["kneeling"] and "no kneeling" in limits)
    )


@dataclass(slots=True)
class PlainDay:
    """The plain model of a day: variables by person, task and round."""

    problem: Document
    model: PlainModel = field(default_factory=PlainModel)
    works: dict[Cell, int] = field(default_factory=dict)
    active: dict[tuple[str, int], int] = field(default_factory=dict)
    units: dict[tuple[str, int], int] = field(default_factory=dict)

    @property
    def rounds(self) -> range:
        """The rounds of the day."""
        return range(self.problem["rounds"])

    def crew(self, task: str, round_: int, people: list[str], factor: int = 1) -> Sum:
        """Return the sum of those of these people who are in a crew."""
        cells = ((person, task, round_) for person in people)
        return [(factor, self.works[cell]) for cell in cells if cell in self.works]

    def people(self, **facts: Any) -> list[str]:
        """Return the ids of the people of whom these facts hold."""
        return [
            p["id"]
            for p in self.problem["people"]
            if all(p[name] == value for name, value in facts.items())
        ]


def solve_day_plainly(
    problem: Document, solver: str, seconds: float, *, seed: int = 1, workers: int = 2
) -> tuple[Document, PlainAnswer]:
    """Return the answer as a day roster, and what the solver said of each stage."""
    day = build_plain_day(problem)
    answer = solve_plainly(day.model, solver, seconds, seed=seed, workers=workers)
    return _as_roster(day, answer), answer


def build_plain_day(problem: Document) -> PlainDay:
    """Return the whole model of a day document."""
    day = PlainDay(problem)
    for person in problem["people"]:
        for round_ in day.rounds:
            mine = []
            for task in problem["tasks"]:
                if may_do(problem, person, task, round_):
                    cell = (person["id"], task["id"], round_)
                    day.works[cell] = day.model.add_variable()
                    mine.append((1, day.works[cell]))
            day.model.at_most(mine, 1)
    for task in problem["tasks"]:
        for round_ in day.rounds:
            day.active[task["id"], round_] = day.model.add_variable()
            day.units[task["id"], round_] = day.model.add_variable(task["units"])
            _add_crew(day, task, round_)
            _add_young(day, task, round_)
    for round_ in day.rounds:
        _add_tools(day, round_)
        _add_first_aid(day, round_)
    for person in problem["people"]:
        _add_person(day, person)
    for task in problem["tasks"]:
        _add_units(day, task)
    _add_aims(day)
    return day


def _add_crew(day: PlainDay, task: Document, round_: int) -> None:
    problem, name = day.problem, task["id"]
    active = day.active[name, round_]
    crew = day.crew(name, round_, day.people())
    day.model.at_least([*crew, (-task["crew"]["min"], active)], 0)
    day.model.at_most([*crew, (-task["crew"]["max"], active)], 0)
    for skill, count in ((problem["rules"]["lead_skill"], 1), *task["skills"].items()):
        able = [p["id"] for p in problem["people"] if holds(p, skill, problem["on"])]
        day.model.at_least([*day.crew(name, round_, able), (-count, active)], 0)


def _add_young(day: PlainDay, task: Document, round_: int) -> None:
    problem, name, rules = day.problem, task["id"], day.problem["rules"]
    young = {p["id"]: p for p in problem["people"] if p["age"] < ADULT}
    there = [
        (person, day.works[person, name, round_])
        for person in young
        if (person, name, round_) in day.works
    ]
    if not there:
        return
    checked = [p["id"] for p in problem["people"] if p["age"] >= ADULT and p["checked"]]
    watching = day.crew(name, round_, checked, rules["supervision"]["denominator"])
    weights = rules["supervision"]["weights"]
    watched = [(-weights[band_of(young[person]["age"])], works) for person, works in there]
    day.model.at_least(watching + watched, 0)
    any_young = day.model.add_variable()
    for _, works in there:
        day.model.at_most([(1, works), (-1, any_young)], 0)
    crew = day.crew(name, round_, day.people())
    day.model.at_least([*crew, (-LEAST_WITH_YOUNG, any_young)], 0)
    in_zone = [
        part
        for other in problem["tasks"]
        if other["zone"] == task["zone"]
        for part in day.crew(other["id"], round_, checked)
    ]
    day.model.at_least([*in_zone, (-rules["checked_adults_per_zone"], any_young)], 0)
    for person, works in there:
        guardian = young[person]["guardian"]
        if guardian is not None and young[person]["age"] < UNDER_12:
            day.model.at_most([(1, works), *day.crew(name, round_, [guardian], -1)], 0)
    for group in sorted({p["group"] for p in young.values()} - {None}):
        pupils = day.crew(name, round_, day.people(group=group))
        staff = day.crew(name, round_, day.people(staff_of=group))
        any_pupil = day.model.add_variable()
        for _, works in pupils:
            day.model.at_most([(1, works), (-1, any_pupil)], 0)
        day.model.at_least([*pupils, (-rules["smallest_class_part"], any_pupil)], 0)
        day.model.at_least([*staff, (-1, any_pupil)], 0)


def _add_tools(day: PlainDay, round_: int) -> None:
    for tool, on_hand in day.problem["tools"].items():
        used = [
            (task["tools"][tool], day.active[task["id"], round_])
            for task in day.problem["tasks"]
            if tool in task["tools"]
        ]
        day.model.at_most(used, on_hand)


def _add_first_aid(day: PlainDay, round_: int) -> None:
    problem = day.problem
    hard = [t["id"] for t in problem["tasks"] if t["heavy"] or t["powered_minutes_per_round"]]
    skill = problem["rules"]["first_aid_skill"]
    aiders = [
        p["id"]
        for p in problem["people"]
        if p["present"][round_] and holds(p, skill, problem["on"])
    ]
    busy = [part for task in hard for part in day.crew(task, round_, aiders)]
    day.model.at_most(busy, len(aiders) - 1)


def _add_person(day: PlainDay, person: Document) -> None:
    problem, rules, me = day.problem, day.problem["rules"], person["id"]
    tasks = problem["tasks"]

    def of(chosen: list[Document], rounds: range) -> Sum:
        cells = ((me, task["id"], round_) for task in chosen for round_ in rounds)
        return [(1, day.works[cell]) for cell in cells if cell in day.works]

    heavy = [task for task in tasks if task["heavy"]]
    rest = rules["rounds_before_rest"][band_of(person["age"])]
    for chosen, limit in ((heavy, rules["heavy_rounds_in_a_row"]), (tasks, rest)):
        for begins in range(problem["rounds"] - limit):
            day.model.at_most(of(chosen, range(begins, begins + limit + 1)), limit)
    if "no long kneeling" in person["restrictions"]:
        kneeling = [task for task in tasks if task["kneeling"]]
        day.model.at_most(of(kneeling, day.rounds), rules["long_kneeling_rounds"])
    powered = [
        (task["powered_minutes_per_round"], day.works[me, task["id"], round_])
        for task in tasks
        for round_ in day.rounds
        if task["powered_minutes_per_round"]
        and (me, task["id"], round_) in day.works
        and any(holds(person, skill, problem["on"]) for skill in task["skills"])
    ]
    day.model.at_most(powered, rules["powered_minutes_per_person"])


def _add_units(day: PlainDay, task: Document) -> None:
    problem, name = day.problem, task["id"]

    def until(which: str, end: int, factor: int) -> Sum:
        return [(factor, day.units[which, round_]) for round_ in range(end + 1)]

    day.model.at_most(until(name, day.rounds[-1], 1), task["units"])
    points = problem["rules"]["points_per_round"]
    for end in day.rounds:
        put_in = [
            (-points[band_of(p["age"])], day.works[p["id"], name, round_])
            for p in problem["people"]
            for round_ in range(end + 1)
            if (p["id"], name, round_) in day.works
        ]
        day.model.at_most(until(name, end, task["points_per_unit"]) + put_in, 0)
        if task["closes"] is not None:
            day.model.at_most(until(name, end, 1) + until(task["closes"], end - 1, -1), 0)
    if task["closes"] is not None:
        last = day.rounds[-1]
        day.model.at_least(until(name, last, 1) + until(task["closes"], last, -1), 0)


def _add_aims(day: PlainDay) -> None:
    problem = day.problem
    value = {task["id"]: task["value_per_unit"] for task in problem["tasks"]}
    required = {task["id"] for task in problem["tasks"] if task["required"]}
    must = [(-value[t], units) for (t, _), units in day.units.items() if t in required]
    other = [(value[t], units) for (t, _), units in day.units.items() if t not in required]
    whole = sum(task["units"] * value[task["id"]] for task in problem["tasks"] if task["required"])
    day.model.aims = [
        Aim("required_left", tuple(must), whole, True),
        Aim("other_done", tuple(other), 0, False),
    ]
    if problem["published"] is not None:
        day.model.aims.append(_changes(day))
    day.model.aims.append(_comfort(day))


def _changes(day: PlainDay) -> Aim:
    parts: Sum = []
    constant = 0
    for person in day.problem["people"]:
        told = day.problem["published"].get(person["id"])
        for round_ in day.rounds:
            if told is None or not person["present"][round_]:
                continue
            if told[round_] is None:
                tasks = (task["id"] for task in day.problem["tasks"])
                parts += [p for task in tasks for p in day.crew(task, round_, [person["id"]])]
            else:
                constant += 1
                parts += day.crew(told[round_], round_, [person["id"]], -1)
    return Aim("changes", tuple(parts), constant, True)


def _comfort(day: PlainDay) -> Aim:
    problem, weights = day.problem, day.problem["weights"]
    people = {p["id"]: p for p in problem["people"]}
    kind = {task["id"]: task["kind"] for task in problem["tasks"]}
    parts = [
        (weights["preference"] * people[p]["preferences"].get(kind[t], 0), works)
        for (p, t, _), works in day.works.items()
    ]
    for task, round_ in day.active:
        unpaired = day.model.add_variable(len(people))
        day.model.at_least(
            [
                (1, unpaired),
                *day.crew(task, round_, day.people(experience=0), -1),
                *day.crew(task, round_, day.people(experience=2), 2),
            ],
            0,
        )
        parts.append((-weights["unpaired_novice"], unpaired))
    most = day.model.add_variable(problem["rounds"])
    heavy = [task["id"] for task in problem["tasks"] if task["heavy"]]
    for person in people:
        mine = (day.crew(t, round_, [person], -1) for t in heavy for round_ in day.rounds)
        day.model.at_least([(1, most), *(part for parts in mine for part in parts)], 0)
    parts.append((-weights["most_heavy_rounds"], most))
    return Aim("comfort", tuple(parts), 0, False)


def _as_roster(day: PlainDay, answer: PlainAnswer) -> Document:
    problem = day.problem
    roster: Document = {
        "format": "day-roster/1",
        "problem": problem["name"],
        "status": answer.status,
    }
    if answer.at is None:
        return roster | {"assignments": {}, "units": {}}
    at = answer.at
    doing: Document = {p["id"]: [None] * problem["rounds"] for p in problem["people"]}
    for (person, task, round_), works in day.works.items():
        if at[works]:
            doing[person][round_] = task
    units = {
        t["id"]: [at[day.units[t["id"], round_]] for round_ in day.rounds] for t in problem["tasks"]
    }
    return roster | {
        "assignments": doing,
        "units": units,
        "objective": {"changes": 0} | answer.values,
        "bound": {"changes": 0} | answer.bounds,
        "seconds": round(sum(answer.stage_seconds.values()), 3),
    }
