"""The same rules in all five places: sign-up, rostering, a hand edit, the liaison's check, the day.

One rule broken the same way is found in each; the same roster gets the same
findings wherever it is looked at.
"""

from dataclasses import replace

import pytest

from orchard.models import User
from scheduling.domain.class_visit import ClassNumbers
from scheduling.domain.judgement import judge_day, judge_roster
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.rule import Severity
from scheduling.domain.waiving import mark_finding
from scheduling.models import Person, Roster, SchoolGroup, Session, SignUp
from scheduling.queries.class_checks import check_class_at
from scheduling.queries.day_now import judge_day_now
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import (
    find_current_roster,
    find_current_roster_value,
    load_current_findings,
)
from scheduling.services.class_bookings import record_group_signup
from scheduling.services.hand_edits import edit_place, preview_move
from scheduling.services.publish import publish_roster
from scheduling.services.rosters import propose_roster
from scheduling.services.signups import record_signup
from tests.scheduling.services.test_rosters import QUICK
from tests.signed_in import COORDINATOR, NOW

# Two supervising adults wherever young people are: NSPCC Learning, September 2023.
TWO_ADULTS = "SUP-2"


@pytest.fixture
def by(db: None) -> int:
    return User.objects.get(email=COORDINATOR).pk


@pytest.fixture
def teenager(small_day: Session) -> Person:
    """Somebody of 15 with a consent on file who comes to the small day."""
    young = (
        Person.objects.filter(guardian__isnull=False, birth_year=2011, consents__isnull=False)
        .distinct()
        .first()
    )
    assert young is not None
    young.consents.update(first_day=NOW.date(), last_day=NOW.date().replace(year=2028), kinds=[])
    young.consents.update(version=small_day.season.site.consent_version)
    SignUp.objects.create(session=small_day, person=young, state=SignUp.State.CONFIRMED, at=NOW)
    return young


@pytest.fixture
def day(small_day: Session, teenager: Person) -> Session:
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    return small_day


def leave_one_checked(session: Session) -> None:
    """Take all background checks but one from those who come."""
    people = list(Person.objects.filter(signups__session=session).order_by("pk"))
    for person in people[1:]:
        person.checks.all().delete()


def blocking(findings) -> set[str]:
    return {finding.rule for finding in findings if finding.severity is Severity.BLOCKS}


def test_one_roster_has_the_same_findings_wherever_it_is_looked_at(
    day: Session, teenager: Person, by: int
) -> None:
    row = Roster.objects.get(session=day)
    place = row.places.first()
    assert place is not None
    edit_place(
        session_id=day.pk,
        roster_id=row.pk,
        person=PersonId(teenager.pk),
        round_=place.round,
        task=TaskId(place.task_id),
        by=by,
        at=NOW,
    )
    leave_one_checked(day)
    problem = load_roster_problem(day.pk)
    kept = find_current_roster_value(day.pk)
    roster = find_current_roster(day.pk)
    assert kept is not None
    assert roster is not None
    somebody = kept.assignments[0]

    judged = {mark_finding(finding) for finding in judge_roster(problem, kept)}
    shown = {mark_finding(finding) for finding in roster.findings}
    read = {mark_finding(finding) for finding in load_current_findings(day.pk)}
    same_place = preview_move(
        session_id=day.pk,
        roster_id=roster.id,
        person=somebody.person,
        round_=somebody.round,
        task=somebody.task,
    )
    moved = {mark_finding(finding) for finding in same_place.findings}
    now = {mark_finding(f) for f in judge_day_now(day.pk, ()).findings}

    assert TWO_ADULTS in blocking(roster.findings)
    assert judged == shown == read == moved
    # The day also counts those without a task; what is found of the roster is all there.
    assert judged <= now


def test_sign_up_lets_a_young_person_wait_for_a_second_checked_adult(
    small_day: Session, teenager: Person
) -> None:
    leave_one_checked(small_day)
    SignUp.objects.filter(session=small_day, person=teenager).delete()

    receipt = record_signup(session_id=small_day.pk, person_ids=(teenager.pk,), at=NOW)

    assert receipt.state == "waiting"
    assert TWO_ADULTS in blocking(receipt.findings)


def test_the_planner_gives_a_young_person_no_place_with_one_checked_adult(
    small_day: Session, teenager: Person
) -> None:
    leave_one_checked(small_day)

    result = propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)

    assert result.roster is not None
    assert teenager.pk not in {cell.person for cell in result.roster.assignments}


def test_a_hand_edit_that_puts_them_there_is_found_at_once(
    small_day: Session, teenager: Person, by: int
) -> None:
    leave_one_checked(small_day)
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    row = Roster.objects.get(session=small_day, state=Roster.State.DRAFT)
    task = row.places.order_by("round").first()
    assert task is not None

    receipt = edit_place(
        session_id=small_day.pk,
        roster_id=row.pk,
        person=PersonId(teenager.pk),
        round_=task.round,
        task=TaskId(task.task_id),
        by=by,
        at=NOW,
    )

    assert receipt.version == row.version + 1
    assert TWO_ADULTS in blocking(receipt.came)
    with pytest.raises(Exception, match="cannot be published"):
        publish_roster(
            roster_id=Roster.objects.get(session=small_day, version=receipt.version).pk, at=NOW
        )


def test_the_liaisons_check_refuses_a_class_with_one_checked_adult(small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()
    numbers = ClassNumbers(pupils_by_age=((10, 4),), staff=2, checked_staff=1)

    answer = check_class_at(small_day.pk, numbers).check

    assert answer.blocked
    assert TWO_ADULTS in blocking(answer.findings)
    assert answer.missing >= 1
    line = next(line for line in answer.lines if line.rule == TWO_ADULTS)
    assert (line.required, line.there) == (2, 1)


def test_what_the_liaison_is_told_of_the_class_on_file_is_what_sign_up_does(
    small_day: Session,
) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    for member in group.staff.all():
        member.checks.all().delete()
    SchoolGroup.objects.filter(pk=group.pk).update(
        helpers=0, checked_helpers=0, needing_own_adult=0
    )
    Session.objects.filter(pk=small_day.pk).update(capacity=60)
    SignUp.objects.filter(session=small_day).delete()
    numbers = ClassNumbers(pupils_by_age=((10, 13), (11, 9)), staff=4, checked_staff=0)

    told = check_class_at(small_day.pk, numbers, group_id=group.pk).check
    done = record_group_signup(session_id=small_day.pk, group_id=group.pk, at=NOW)

    assert done.state == "refused"
    assert blocking(told.findings) == blocking(done.findings)
    assert TWO_ADULTS in blocking(done.findings)


def test_the_day_stops_for_young_people_when_the_second_adult_leaves_at_eleven(
    small_day: Session, teenager: Person
) -> None:
    """people-and-safety.md 3.2: one of two adults leaves at 11:00, minors stay: refused from then.

    S01 begins at 09:30 with 20 minutes of briefing and rounds of 30 with breaks
    of 10: round 3, counted from 1, begins at 11:10.
    """
    two = list(Person.objects.filter(signups__session=small_day).order_by("pk")[:2])
    for person in Person.objects.filter(signups__session=small_day).exclude(
        pk__in=[person.pk for person in two]
    ):
        person.checks.all().delete()
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    before = judge_day_now(small_day.pk, ())

    after = judge_day_now(small_day.pk, ((PersonId(two[1].pk), 2),))

    assert TWO_ADULTS not in blocking(before.findings)
    assert TWO_ADULTS in blocking(after.findings)
    assert after.ahead == (2, 3)
    assert {f.round for f in after.findings if f.rule == TWO_ADULTS} <= {2, 3, None}
    assert all(f.source for f in after.findings)
    gone = f"{two[1].first_name} {two[1].family_name[0]}."
    assert gone not in " ".join(f.text for f in after.findings), "nobody counts on who has left"


def test_a_leaving_that_hurts_nobody_brings_no_blocking_finding(
    day: Session, teenager: Person
) -> None:
    problem, kept = load_roster_problem(day.pk), find_current_roster_value(day.pk)
    assert kept is not None

    findings = judge_day(problem, kept, ((PersonId(teenager.pk), 0),))

    assert not blocking(findings) & {"SUP-1", "SUP-2", "SUP-3", "CON-1", "AGE-1", "AGE-2"}


def test_the_same_problem_is_judged_the_same_twice(day: Session) -> None:
    problem, kept = load_roster_problem(day.pk), find_current_roster_value(day.pk)
    assert kept is not None

    again = load_roster_problem(day.pk)

    assert again == problem
    assert judge_roster(again, kept) == judge_roster(problem, replace(kept))
