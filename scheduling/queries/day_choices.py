"""Reads what can be said of a session's day: who may stay away, which tools and tasks it has."""

from collections import Counter
from dataclasses import dataclass
from datetime import date

from scheduling.domain.people import PersonId, age_on
from scheduling.domain.problem import RosterProblem
from scheduling.models import Person, Session
from scheduling.queries.names import printed_name
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
    """What a form about the day offers.

    `tools` are those the work needs: code, name, on hand. `work` is what the roster
    gives somebody to do. `others` are people of the site who are not signed up.
    """

    rounds: int
    members: tuple[Member, ...]
    tools: tuple[tuple[str, str, int], ...]
    tasks: tuple[tuple[int, str], ...]
    work: tuple["WorkChoice", ...] = ()
    others: tuple[tuple[int, str], ...] = ()


@dataclass(frozen=True, slots=True)
class WorkChoice:
    """A task that units of may be done by now, in the task's own unit."""

    id: int
    title: str
    unit: str
    units: int


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
        tasks=tuple((task.id, task.name) for task in problem.tasks),
        work=tuple(
            WorkChoice(task.id, task.name, task.unit, task.units)
            for task in problem.tasks
            if task.units
        ),
        others=_others(session_id, {person.id for person in problem.people}, problem.on),
    )


def _others(session_id: int, signed_up: set[PersonId], on: date) -> tuple[tuple[int, str], ...]:
    """Return who of the site's people is not signed up, by the name that may be printed.

    Two who print alike are told apart by their code.
    """
    site_id = Session.objects.values_list("season__site_id", flat=True).get(pk=session_id)
    rows = Person.objects.filter(site_id=site_id, active=True, erased_at__isnull=True)
    named = [
        (row, printed_name(row, age_on(row.birth_year, row.birth_month, on)))
        for row in rows.exclude(pk__in=signed_up)
    ]
    often = Counter(name for _, name in named)
    return tuple(
        sorted(
            ((row.pk, f"{name} ({row.code})" if often[name] > 1 else name) for row, name in named),
            key=lambda each: (each[1], each[0]),
        )
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
