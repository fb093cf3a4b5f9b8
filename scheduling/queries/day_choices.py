"""Reads what can be said of a session's day: who may stay away, which tools and tasks it has."""

from dataclasses import dataclass

from scheduling.domain.people import PersonId
from scheduling.domain.problem import RosterProblem
from scheduling.queries.problems import load_roster_problem


@dataclass(frozen=True, slots=True)
class Member:
    """A person, or all of a class: `followers` are its staff, who come and go with it."""

    key: str
    name: str
    ids: tuple[PersonId, ...]
    followers: tuple[PersonId, ...] = ()


@dataclass(frozen=True, slots=True)
class DayChoices:
    """What a form about the day offers. `tools` are those the work needs: code, name, on hand."""

    rounds: int
    members: tuple[Member, ...]
    tools: tuple[tuple[str, str, int], ...]
    tasks: tuple[tuple[int, str], ...]


def load_day_choices(session_id: int) -> DayChoices:
    """Return who and what a session's day has, classes as one.

    Raises:
        SessionUnknown: If there is no such session.
    """
    problem = load_roster_problem(session_id)
    used = {need.tool for task in problem.tasks for need in task.tools}
    return DayChoices(
        rounds=problem.rounds,
        members=_members(problem),
        tools=tuple(
            (tool.code, tool.name, tool.on_hand)
            for tool in sorted(problem.tools, key=lambda tool: (tool.name, tool.code))
            if tool.code in used and tool.on_hand
        ),
        tasks=tuple((task.id, task.title) for task in problem.tasks),
    )


def _members(problem: RosterProblem) -> tuple[Member, ...]:
    """Return classes first, then people by name; keys are those of the day's other page."""
    classes = []
    for number, group in enumerate(sorted(problem.groups, key=lambda g: (g.name, g.id)), start=1):
        pupils = tuple(p.id for p in problem.people if p.group == group.id)
        staff = tuple(p.id for p in problem.people if p.staff_of == group.id)
        with_staff = " and their staff" if staff else ""
        name = f"{group.name}, all {len(pupils)} pupils{with_staff}"
        classes.append(Member(f"left_class_{number}", name, pupils, staff))
    people = sorted((p for p in problem.people if p.group is None), key=lambda p: (p.name, p.id))
    return (*classes, *(Member(f"left_{p.id}", p.name, (p.id,)) for p in people))
