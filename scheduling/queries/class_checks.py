"""Reads what the rules ask of a class at one session, and which coming sessions suit it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from orchard.queries.tasks import KeptTask, load_open_tasks
from scheduling.domain.class_visit import ClassNumbers, VisitAnswer, check_visit
from scheduling.domain.people import GroupId
from scheduling.domain.policy import Policy
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.session_limits import build_full_finding
from scheduling.models import Person as PersonRow
from scheduling.models import SchoolGroup
from scheduling.queries.background_checks import is_checked
from scheduling.queries.class_counts import count_helpers, load_class_counts, sort_ages
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rule_sets import AdoptedSet, load_adopted, load_policy
from scheduling.queries.session_rows import day_of, get_session_row, load_coming


@dataclass(frozen=True, slots=True)
class SessionCheck:
    """The answer for one session, with the sets and the figures it was worked out by."""

    session_id: int
    on: date
    check: VisitAnswer
    adopted: tuple[AdoptedSet, ...]
    policy: Policy
    capacity: int
    coming: int


@dataclass(frozen=True, slots=True)
class SessionFit:
    """How well a coming session suits a class."""

    session_id: int
    blocked: bool
    missing: int
    free_places: int
    wished: tuple[str, ...]
    possible: int

    @property
    def suits(self) -> bool:
        """Whether the class could sign up and has work to do there."""
        return not self.blocked and self.possible > 0


def check_class_at(
    session_id: int,
    numbers: ClassNumbers,
    *,
    without_groups: Iterable[int] = (),
    group_id: int | None = None,
    open_tasks: tuple[KeptTask, ...] | None = None,
) -> SessionCheck:
    """Return what the rules ask of a class at a session; nothing is kept.

    Args:
        session_id: The session.
        numbers: The class as described.
        without_groups: Classes to leave out of the session.
        group_id: The class on file: left out as it stands, its school's own rule
            sets hold too, and its staff count with their skills where the
            numbers are those on file.
        open_tasks: The site's open tasks, from one who asks about many sessions.

    Raises:
        SessionUnknown: If there is no such session.
        RosterError: If the numbers cannot be together.
    """
    session = get_session_row(session_id)
    known: tuple[Person, ...] = ()
    if group_id is None:
        problem = load_roster_problem(session_id, without_groups=without_groups)
    else:
        whole = load_roster_problem(session_id, also_groups=[group_id], open_tasks=open_tasks)
        problem = _without_class(whole, GroupId(group_id), load_coming(session_id).people)
        known = _known_staff(whole, GroupId(group_id), numbers)
    check = check_visit(problem, numbers, known_staff=known)
    asking = numbers.pupils + numbers.staff + numbers.helpers
    coming = len(problem.people) + count_helpers(session_id, (one.id for one in problem.groups))
    if coming + asking > session.capacity:
        full = build_full_finding(
            session.code,
            capacity=session.capacity,
            coming=coming,
            newcomers=asking,
        )
        check = replace(check, findings=(full, *check.findings))
    on = day_of(session)
    groups = {*(group.id for group in problem.groups), *([] if group_id is None else [group_id])}
    return SessionCheck(
        session_id=session_id,
        on=on,
        check=check,
        adopted=load_adopted(session.season.site_id, on=on, groups=groups),
        policy=problem.policy,
        capacity=session.capacity,
        coming=coming,
    )


def _without_class(
    problem: RosterProblem, group: GroupId, signed_up: tuple[int, ...]
) -> RosterProblem:
    """Return the session without a class; its staff stay where they signed up themselves."""
    people = tuple(
        replace(person, staff_of=None) if person.staff_of == group else person
        for person in problem.people
        if person.group != group and (person.staff_of != group or person.id in signed_up)
    )
    groups = tuple(one for one in problem.groups if one.id != group)
    return replace(problem, people=people, groups=groups)


def _known_staff(
    problem: RosterProblem, group: GroupId, numbers: ClassNumbers
) -> tuple[Person, ...]:
    """Return the class's staff as on file, where the numbers are those on file."""
    staff = tuple(person for person in problem.people if person.staff_of == group)
    checked = sum(person.checked for person in staff)
    return staff if (numbers.staff, numbers.checked_staff) == (len(staff), checked) else ()


def load_fits(
    session_ids: Iterable[int], numbers: ClassNumbers, *, group_id: int
) -> tuple[SessionFit, ...]:
    """Return how well each of these sessions suits a class, those that suit first."""
    open_tasks = load_open_tasks(SchoolGroup.objects.get(pk=group_id).site_id)
    fits = [_fit(session_id, numbers, group_id, open_tasks) for session_id in session_ids]
    return tuple(sorted(fits, key=lambda fit: (not fit.suits, -len(fit.wished), fit.missing)))


def _fit(
    session_id: int, numbers: ClassNumbers, group_id: int, open_tasks: tuple[KeptTask, ...]
) -> SessionFit:
    answer = check_class_at(session_id, numbers, group_id=group_id, open_tasks=open_tasks)
    possible = [task for task in answer.check.tasks if task.is_open]
    return SessionFit(
        session_id=session_id,
        blocked=answer.check.blocked,
        missing=answer.check.missing,
        free_places=max(0, answer.capacity - answer.coming),
        wished=tuple(dict.fromkeys(task.kind for task in possible if task.wished)),
        possible=sum(len(task.titles) for task in possible),
    )


def load_numbers(group_id: int, *, on: date) -> ClassNumbers:
    """Return a class as it is on file: its staff's checks as they hold on a day."""
    row = SchoolGroup.objects.prefetch_related("staff__checks").get(pk=group_id)
    staff = list(row.staff.all())
    policy = load_policy(row.site_id, on=on, groups=(row.pk,))
    return ClassNumbers(
        pupils_by_age=sort_ages(row.pupils_by_age),
        staff=len(staff),
        checked_staff=sum(is_checked(member, policy, on) for member in staff),
        helpers=row.helpers,
        checked_helpers=row.checked_helpers,
        needing_own_adult=row.needing_own_adult,
        wished_kinds=tuple(row.wished_kinds),
    )


def load_numbers_at(session_id: int, group_id: int) -> ClassNumbers:
    """Return a class as it comes to a session: what its liaison said for it, else the file."""
    session = get_session_row(session_id)
    (counts,) = load_class_counts(session_id, [group_id])
    on = day_of(session)
    policy = load_policy(session.season.site_id, on=on, groups=(group_id,))
    staff = PersonRow.objects.filter(pk__in=counts.staff).prefetch_related("checks")
    return ClassNumbers(
        pupils_by_age=counts.pupils_by_age,
        staff=len(counts.staff),
        checked_staff=sum(is_checked(member, policy, on) for member in staff),
        helpers=counts.helpers,
        checked_helpers=counts.checked_helpers,
        needing_own_adult=counts.needing_own_adult,
        wished_kinds=tuple(SchoolGroup.objects.get(pk=group_id).wished_kinds),
    )
