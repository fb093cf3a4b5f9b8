"""Small days built by hand, and problem documents read for trials."""

import json
from datetime import date
from pathlib import Path

from orchard.domain.plan import SkillNeed, ToolNeed
from scheduling.domain.condition import (
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Reason,
    ToolsAtMost,
)
from scheduling.domain.people import Restriction, TaskId, band_of
from scheduling.domain.policy import Policy, RatioBand, SupervisionTable
from scheduling.domain.problem import CrewTask, Person, RosterProblem, SkillHeld, Weights

ON = date(2027, 4, 17)
POLICY = Policy(SupervisionTable("none", (RatioBand(17, 8),), 2, 18, "test", "proposed", ON))


def because(text: str = "A condition of this test.", rule: str = "TEST-1") -> Reason:
    return Reason(rule, text, "test")


def person(id_: int, *, rounds: int = 2, **facts) -> Person:
    facts = {"name": f"P{id_}", "age": 30, "present": (True,) * rounds} | facts
    return Person(id=id_, **facts)


def task(id_: int, **facts) -> CrewTask:
    facts = {
        "key": f"k{id_}",
        "title": f"Task {id_}",
        "kind": "weed",
        "zone": "A",
        "required": False,
        "units": 2,
        "unit": "ring",
        "points_per_unit": 300,
        "value_per_unit": 1,
        "crew_least": 1,
        "crew_most": 9,
    } | facts
    return CrewTask(id=id_, **facts)


def day(people, tasks, *, rounds: int = 2, **facts) -> RosterProblem:
    facts = {
        "name": "test day",
        "on": ON,
        "round_minutes": 30,
        "groups": (),
        "tools": (),
        "locates": (),
        "policy": POLICY,
        "consent_version": "1",
    } | facts
    return RosterProblem(rounds=rounds, people=tuple(people), tasks=tuple(tasks), **facts)


def read_day(path: Path):
    """Return (problem, conditions) of a day document. For trials only: knows one format."""
    doc = json.loads(path.read_text())
    on = date.fromisoformat(doc["on"])
    number = {p["id"]: index for index, p in enumerate(doc["people"])}
    groups = sorted({p["group"] or p["staff_of"] for p in doc["people"]} - {None})
    group = {name: index for index, name in enumerate(groups)}
    people = [
        Person(
            id=number[p["id"]],
            name=p["id"],
            age=p["age"],
            present=tuple(p["present"]),
            checked=p["checked"],
            skills=tuple(
                SkillHeld(s, date.fromisoformat(d)) for s, d in sorted(p["skills"].items())
            ),
            restrictions=tuple(Restriction(r) for r in p["restrictions"]),
            guardian=number.get(p["guardian"]),
            group=group.get(p["group"]),
            staff_of=group.get(p["staff_of"]),
            experience=p["experience"],
            preferences=tuple(sorted(p["preferences"].items())),
        )
        for p in doc["people"]
    ]
    ids = {t["id"]: TaskId(index) for index, t in enumerate(doc["tasks"])}
    tasks = [
        CrewTask(
            id=ids[t["id"]],
            key=t["id"],
            title=t["id"],
            kind=t["kind"],
            zone=str(t["zone"]),
            required=t["required"],
            units=t["units"],
            unit="unit",
            points_per_unit=10 * t["points_per_unit"],
            value_per_unit=t["value_per_unit"],
            crew_least=t["crew"]["min"],
            crew_most=t["crew"]["max"],
            skills=tuple(SkillNeed(s, n) for s, n in sorted(t["skills"].items())),
            tools=tuple(ToolNeed(s, n) for s, n in sorted(t["tools"].items())),
            minimum_age=t["minimum_age"],
            heavy=t["heavy"],
            kneeling=t["kneeling"],
            powered_min_per_round=t["powered_minutes_per_round"],
            closes=ids.get(t["closes"]),
        )
        for t in doc["tasks"]
    ]
    # Three adult minutes make 30 points; a third and two thirds of it for the young.
    problem = day(
        people,
        tasks,
        rounds=doc["rounds"],
        on=on,
        round_minutes=3,
        pace_percent=(34, 67, 100, 100),
        weights=Weights(*(doc["weights"][k] for k in Weights.__dataclass_fields__)),
    )
    return problem, tuple(_conditions(problem, doc))


def _conditions(problem, doc):
    rules, on = doc["rules"], problem.on
    people, tasks = problem.people, problem.tasks
    why = because("A rule of the document.")
    rounds = range(problem.rounds)
    leads = tuple(p.id for p in people if p.holds(rules["lead_skill"], on))
    for t in tasks:
        yield AtLeast(why, t.crew_least, None, (t.id,), Per.CREW)
        yield AtMost(why, t.crew_most, None, (t.id,), Per.CREW)
        for need in t.skills:
            able = tuple(p.id for p in people if p.holds(need.skill, on))
            yield AtLeast(why, need.count, able, (t.id,), Per.CREW)
        if t.closes is not None:
            yield CloseOut(why, t.closes, t.id)
        too_young = tuple(p.id for p in people if p.age < t.minimum_age)
        yield Forbid(why, too_young, (t.id,))
    yield AtLeast(why, 1, leads, None, Per.CREW)
    heavy = tuple(t.id for t in tasks if t.heavy)
    kneeling = tuple(t.id for t in tasks if t.kneeling)
    hard = tuple(t.id for t in tasks if t.heavy or t.powered_min_per_round)
    for p in people:
        if Restriction.NO_LIFTING in p.restrictions:
            yield Forbid(why, (p.id,), heavy)
        if Restriction.NO_KNEELING in p.restrictions:
            yield Forbid(why, (p.id,), kneeling)
        if Restriction.NO_LONG_KNEELING in p.restrictions:
            yield AtMost(why, rules["long_kneeling_rounds"], (p.id,), kneeling, Per.PERSON)
        rest = rules["rounds_before_rest"][band_of(p.age)]
        for r in rounds[: problem.rounds - rest]:
            yield AtMost(why, rest, (p.id,), None, Per.PERSON, tuple(range(r, r + rest + 1)))
        limit = rules["heavy_rounds_in_a_row"]
        for r in rounds[: problem.rounds - limit]:
            yield AtMost(why, limit, (p.id,), heavy, Per.PERSON, tuple(range(r, r + limit + 1)))
        mine = tuple(
            (t.id, t.powered_min_per_round)
            for t in tasks
            if t.powered_min_per_round and any(p.holds(n.skill, on) for n in t.skills)
        )
        yield MinutesAtMost(why, (p.id,), mine, rules["powered_minutes_per_person"])
    for tool, on_hand in sorted(doc["tools"].items()):
        uses = tuple((t.id, n.count) for t in tasks for n in t.tools if n.tool == tool)
        yield ToolsAtMost(why, tool, on_hand, uses)
    yield from _supervision(people, rules, why)
    for r in rounds:
        aiders = tuple(
            p.id for p in people if p.present[r] and p.holds(rules["first_aid_skill"], on)
        )
        if aiders:
            yield AtMost(why, len(aiders) - 1, aiders, hard, Per.ROUND, (r,))


def _supervision(people, rules, why):
    table = rules["supervision"]
    checked = tuple(p.id for p in people if p.age >= 18 and p.checked)
    young = tuple(p.id for p in people if p.age < 18)
    everyone = tuple((p.id, 1) for p in people)
    supply = tuple((p, table["denominator"]) for p in checked)
    demand = tuple((p.id, table["weights"][band_of(p.age)]) for p in people if p.age < 18)
    yield Balance(why, supply, demand, Per.CREW)
    yield OnlyWith(why, young, everyone, 3, Per.CREW)
    needed = rules["checked_adults_per_zone"]
    yield OnlyWith(why, young, tuple((p, 1) for p in checked), needed, Per.ZONE)
    for p in people:
        if p.guardian is not None and p.age < 12:
            yield OnlyWith(why, (p.id,), ((p.guardian, 1),), 1, Per.CREW)
    for g in sorted({p.group for p in people} - {None}):
        pupils = tuple(p.id for p in people if p.group == g)
        staff = tuple((p.id, 1) for p in people if p.staff_of == g)
        yield OnlyWith(
            why, pupils, tuple((p, 1) for p in pupils), rules["smallest_class_part"], Per.CREW
        )
        yield OnlyWith(why, pupils, staff, 1, Per.CREW)
