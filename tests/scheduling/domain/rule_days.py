"""Small days built by hand: people, tasks and crews named in one line each."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import Any

from orchard.domain.plan import SkillNeed, ToolItem, ToolNeed
from scheduling.domain.condition import Condition
from scheduling.domain.people import GroupId, PersonId, TaskId
from scheduling.domain.policy import build_default_policy
from scheduling.domain.problem import (
    Consent,
    CrewTask,
    Group,
    Locate,
    Person,
    RosterProblem,
    SkillHeld,
)
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from scheduling.domain.rule import Finding
from scheduling.domain.rules import get_rule
from scheduling.domain.verify import find_violations

ON = date(2027, 4, 17)
FIRST, LAST = date(2027, 1, 1), date(2027, 12, 31)
FORM = "2027-1"
GOOD_CONSENT = Consent(FORM, FIRST, LAST)
CLASS_5A = Group(GroupId(1), "Class 5a")
Crews = Mapping[tuple[int, int], Sequence[int]]


def person(number: int, age: int = 40, *, skills: Sequence[str] = (), **more: Any) -> Person:
    """Return a person there in three rounds; skills hold all year."""
    more.setdefault("name", f"P{number}")
    more.setdefault("present", (True, True, True))
    for key in ("guardian",):
        if more.get(key) is not None:
            more[key] = PersonId(more[key])
    held = tuple(SkillHeld(skill, LAST) for skill in skills)
    return Person(id=PersonId(number), age=age, skills=held, **more)


def adult(number: int, *, checked: bool = True, **more: Any) -> Person:
    """Return a supervising adult unless said otherwise."""
    return person(number, more.pop("age", 40), checked=checked, **more)


def child(number: int, age: int, **more: Any) -> Person:
    """Return a young person with a good consent."""
    more.setdefault("consents", (GOOD_CONSENT,))
    return person(number, age, **more)


def pupil(number: int, age: int, **more: Any) -> Person:
    """Return a pupil of class 5a."""
    return person(number, age, group=CLASS_5A.id, **more)


def task(number: int, **more: Any) -> CrewTask:
    """Return a light task for one to thirty people."""
    plain: dict[str, Any] = {
        "key": f"t{number}",
        "title": f"Task {number}",
        "kind": "weed",
        "zone": "lawn",
        "required": True,
        "units": 10,
        "unit": "ring",
        "points_per_unit": 100,
        "value_per_unit": 1,
        "crew_least": 1,
        "crew_most": 30,
    }
    needs = {
        "skills": tuple(SkillNeed(skill, n) for skill, n in more.pop("skills", {}).items()),
        "tools": tuple(ToolNeed(tool, n) for tool, n in more.pop("tools", {}).items()),
    }
    if more.get("closes") is not None:
        more["closes"] = TaskId(more["closes"])
    return CrewTask(id=TaskId(number), **{**plain, **needs, **more})


def day(
    people: Sequence[Person],
    tasks: Sequence[CrewTask] = (),
    *,
    tools: Sequence[ToolItem] = (),
    locates: Sequence[Locate] = (),
    groups: Sequence[Group] = (CLASS_5A,),
    rounds: int = 3,
    **policy: Any,
) -> RosterProblem:
    """Return a day of three rounds of 30 minutes under the shipped policy."""
    return RosterProblem(
        name="a day",
        on=ON,
        rounds=rounds,
        round_minutes=30,
        people=tuple(people),
        groups=tuple(groups),
        tasks=tuple(tasks) or (task(1),),
        tools=tuple(tools),
        locates=tuple(locates),
        policy=replace(build_default_policy(), **policy),
        consent_version=FORM,
    )


def roster(crews: Crews, units: Mapping[tuple[int, int], int] | None = None) -> Roster:
    """Return a roster from {(task, round): people} and {(task, round): units}."""
    return Roster(
        tuple(
            Assignment(PersonId(p), round_, TaskId(t))
            for (t, round_), crew in crews.items()
            for p in crew
        ),
        tuple(TaskUnits(TaskId(t), r, n) for (t, r), n in (units or {}).items()),
    )


def broken(
    code: str,
    problem: RosterProblem,
    crews: Crews,
    units: Mapping[tuple[int, int], int] | None = None,
) -> tuple[Finding, ...]:
    """Return the findings of one rule about a roster."""
    conditions = get_rule(code).conditions(problem)
    found = find_violations(problem, conditions, roster(crews, units))
    return tuple(finding for finding in found if finding.rule == code)


def conditions_of(code: str, problem: RosterProblem) -> tuple[Condition, ...]:
    """Return what one rule demands of a day."""
    return get_rule(code).conditions(problem)


def young(first_number: int, age: int, count: int) -> tuple[Person, ...]:
    """Return so many young people of one age, numbered from a number on."""
    return tuple(child(first_number + n, age) for n in range(count))
