"""May a class come: the session's limits, the rule book, and what is asked of classes alone.

Runs under the session's lock and writes nothing. A class is one block: all of its
pupils and staff are asked about together, beside the spaces offered to others.
"""

from datetime import datetime

from scheduling.domain.people import GroupId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule import Finding
from scheduling.models import SchoolGroup, Session
from scheduling.queries.class_checks import check_class_at, load_numbers_at
from scheduling.queries.class_counts import ClassCounts, load_class_counts
from scheduling.queries.problems import load_admission_problem
from scheduling.services.kept_spaces import load_kept
from scheduling.services.session_admission import (
    find_clashes,
    is_blocked,
    judge_beside,
    list_blocking,
)


def get_counts(session: Session, group: SchoolGroup) -> ClassCounts:
    """Return how many of the class come to the session."""
    (counts,) = load_class_counts(session.pk, [group.pk])
    return counts


def judge_class(session: Session, group: SchoolGroup, at: datetime) -> tuple[Finding, ...]:
    """Return every finding on a class that asks to come, or that comes, as one block."""
    kept = load_kept(session, without_group=group.pk)

    def load_with(groups: tuple[int, ...]) -> RosterProblem:
        return load_admission_problem(
            session, also_people=kept.young, also_groups=(group.pk, *groups)
        )

    alone = load_with(())

    def load(groups: tuple[int, ...]) -> RosterProblem:
        return load_with(groups) if groups else alone

    newcomers = tuple(
        person.id for person in alone.people if GroupId(group.pk) in (person.group, person.staff_of)
    )
    staff = tuple(person for person in newcomers if person > 0)
    clashes = find_clashes(session, staff, group=group.pk)
    if clashes:
        return clashes
    helpers = get_counts(session, group).helpers
    findings = judge_beside(session, at, newcomers, load, kept, helpers=helpers)
    return (*findings, *_asked_of_class(session, group, findings))


def _asked_of_class(
    session: Session, group: SchoolGroup, known: tuple[Finding, ...]
) -> tuple[Finding, ...]:
    """Return what blocks by the liaison's own check: helpers and pupils with their own adult."""
    if is_blocked(known):
        return ()
    numbers = load_numbers_at(session.pk, group.pk)
    answer = check_class_at(session.pk, numbers, group_id=group.pk)
    return list_blocking(answer.check.findings)
