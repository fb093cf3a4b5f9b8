"""From a day's document to what the planner takes: a problem, and its rules as conditions.

The conditions say exactly what the format says, nothing of the product's rule
book. Ids are numbers from 1 in the document's order. Front door: `build_day`.
Not for judging (`judge_day`, which shares nothing with this).
"""

from dataclasses import dataclass

from orchard.domain.plan import SkillNeed, ToolItem, ToolNeed
from scheduling.domain.condition import Condition
from scheduling.domain.documents.day_conditions import build_day_conditions
from scheduling.domain.documents.day_problem import DayDocument, PersonEntry, TaskEntry
from scheduling.domain.people import GroupId, PersonId, TaskId
from scheduling.domain.policy import build_default_policy
from scheduling.domain.problem import (
    CrewTask,
    Fixed,
    Group,
    Person,
    RosterProblem,
    SkillHeld,
)


@dataclass(frozen=True, slots=True)
class DayCase:
    """A day's document as the planner's problem, with the way back to the document's ids.

    `people` and `tasks` hold the document's ids; number n of the problem is
    at place n - 1. `changes_always` counts the person-rounds published for a
    task that is gone: they differ whatever is done, and the planner leaves
    them out of its count.
    """

    document: DayDocument
    problem: RosterProblem
    conditions: tuple[Condition, ...]
    people: tuple[str, ...]
    tasks: tuple[str, ...]
    changes_always: int = 0

    def person_name(self, person: PersonId) -> str:
        """Return the document's id of a person of the problem."""
        return self.people[person - 1]

    def task_name(self, task: TaskId) -> str:
        """Return the document's id of a task of the problem."""
        return self.tasks[task - 1]


def build_day(document: DayDocument) -> DayCase:
    """Return the planner's problem and conditions for a document.

    Args:
        document: As `read_day_problem` returns it.

    Returns:
        The problem, with `points_by_band_per_round` as the document gives it,
        the conditions, and the ids.
    """
    people_ids = {p.id: PersonId(n) for n, p in enumerate(document.people, start=1)}
    task_ids = {t.id: TaskId(n) for n, t in enumerate(document.tasks, start=1)}
    classes = sorted({c for p in document.people for c in (p.group, p.staff_of) if c is not None})
    groups = {name: GroupId(n) for n, name in enumerate(classes, start=1)}
    published, gone = _published(document, people_ids, task_ids)
    problem = RosterProblem(
        name=document.name,
        on=document.on,
        rounds=document.rounds,
        round_minutes=document.round_minutes,
        people=tuple(_person(one, people_ids, groups) for one in document.people),
        groups=tuple(Group(groups[name], name) for name in classes),
        tasks=tuple(_task(one, task_ids) for one in document.tasks),
        tools=tuple(ToolItem(name, name, count, 0) for name, count in document.tools),
        locates=(),
        policy=build_default_policy(),
        consent_version="",
        lead_skill=document.rules.lead_skill,
        first_aid_skill=document.rules.first_aid_skill,
        points_by_band_per_round=document.rules.points_per_round,
        weights=document.weights,
        published=published,
    )
    return DayCase(
        document, problem, build_day_conditions(document, problem), tuple(people_ids),
        tuple(task_ids), gone,
    )  # fmt: skip


def _person(entry: PersonEntry, ids: dict[str, PersonId], groups: dict[str, GroupId]) -> Person:
    return Person(
        id=ids[entry.id],
        name=entry.id,
        age=entry.age,
        present=entry.present,
        checked=entry.checked,
        skills=tuple(SkillHeld(skill, last) for skill, last in entry.skills),
        restrictions=entry.restrictions,
        guardian=None if entry.guardian is None else ids[entry.guardian],
        group=None if entry.group is None else groups[entry.group],
        staff_of=None if entry.staff_of is None else groups[entry.staff_of],
        experience=entry.experience,
        preferences=entry.preferences,
        wished_skills=entry.wishes,
        heavy_liking=entry.heavy_liking,
        companions=tuple(sorted(ids[one] for one in entry.companions)),
        past=entry.past,
    )


def _task(entry: TaskEntry, ids: dict[str, TaskId]) -> CrewTask:
    return CrewTask(
        id=ids[entry.id],
        key=entry.id,
        title=entry.id,
        kind=entry.kind,
        zone=str(entry.zone),
        required=entry.required,
        units=entry.units,
        unit="unit",
        points_per_unit=entry.points_per_unit,
        value_per_unit=entry.value_per_unit,
        crew_least=entry.crew_min,
        crew_most=entry.crew_max,
        skills=tuple(SkillNeed(skill, count) for skill, count in entry.skills),
        tools=tuple(ToolNeed(tool, count) for tool, count in entry.tools),
        minimum_age=entry.minimum_age,
        heavy=entry.heavy,
        kneeling=entry.kneeling,
        powered_min_per_round=entry.powered_minutes_per_round,
        closes=None if entry.closes is None else ids[entry.closes],
    )


def _published(
    document: DayDocument, people: dict[str, PersonId], tasks: dict[str, TaskId]
) -> tuple[tuple[Fixed, ...], int]:
    """Return what was published for people still here, and how much of it is gone for good."""
    present = {person.id: person.present for person in document.people}
    found: list[Fixed] = []
    gone = 0
    for name, line in document.published or ():
        for round_, task in enumerate(line):
            if name not in people or not present[name][round_]:
                continue
            if task is None or task in tasks:
                found.append((people[name], round_, None if task is None else tasks[task]))
            else:
                gone += 1
    return tuple(found), gone
