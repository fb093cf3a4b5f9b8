"""Numbers of a class for one session: asked once, confirmed, corrected by the rules, told."""

from datetime import date, datetime, timedelta

import pytest

from scheduling.domain.class_numbers import NumbersState, judge_numbers
from scheduling.domain.errors import ClassRefused
from scheduling.models import (
    CheckRecord,
    Message,
    Person,
    SchoolGroup,
    Session,
    SignUp,
    VisitNumbers,
)
from scheduling.queries.attendance import count_signed_up
from scheduling.queries.class_visits import load_visits
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.session_rows import count_heads
from scheduling.services.class_bookings import record_group_signup, record_group_withdrawal
from scheduling.services.class_numbers import NumbersSaid, record_numbers
from scheduling.services.reminders import put_due_mail
from scheduling.services.signups import record_signup
from tests.signed_in import COORDINATOR, LIAISON, NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

ON = date(2027, 4, 15)


@pytest.fixture
def session(db: None) -> Session:
    """S02, to which five adults and Class 7 come, and not one space more."""
    Session.objects.filter(code="S02").update(capacity=90)
    session = Session.objects.get(code="S02")
    SignUp.objects.filter(session=session).delete()
    for code in ("P01", "P05", "P11", "P29", "P02"):
        person = Person.objects.get(code=code)
        SignUp.objects.create(session=session, person=person, state="confirmed", at=NOW)
    group = SchoolGroup.objects.get(code="SLUICE-7")
    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=NOW)
    assert receipt.state == "confirmed"
    session.capacity = count_heads(session.pk)
    session.save()
    return session


@pytest.fixture
def group(session: Session) -> SchoolGroup:
    return SchoolGroup.objects.get(code="SLUICE-7")


def say(session: Session, group: SchoolGroup, at: datetime = NOW, **changes: object):
    """Say the numbers on file, with changes."""
    on_file: dict[str, object] = {
        "pupils_by_age": ((10, 13), (11, 9)),
        "staff": tuple(sorted(group.staff.values_list("pk", flat=True))),
        "helpers": group.helpers,
        "checked_helpers": group.checked_helpers,
        "needing_own_adult": group.needing_own_adult,
    }
    said = NumbersSaid(**(on_file | changes))
    return record_numbers(session_id=session.pk, group_id=group.pk, said=said, at=at)


def days_before(session: Session, days: int) -> datetime:
    return session.starts_at - timedelta(days=days) + timedelta(hours=2)


@pytest.mark.parametrize(
    ("today", "booked", "said", "state"),
    [
        (9, 60, None, NumbersState.LATER),
        (8, 60, None, NumbersState.ASKED),
        (4, 60, None, NumbersState.ASKED),
        (3, 60, None, NumbersState.OVERDUE),
        (3, 60, 7, NumbersState.CONFIRMED),
        (3, 60, 14, NumbersState.CONFIRMED),
        (3, 60, 15, NumbersState.OVERDUE),
        (3, 8, None, NumbersState.CONFIRMED),
    ],
)
def test_numbers_are_asked_a_week_before_and_overdue_three_days_before(
    today: int, booked: int, said: int | None, state: NumbersState
) -> None:
    assert (
        judge_numbers(
            ON,
            ON - timedelta(days=today),
            booked_on=ON - timedelta(days=booked),
            said_on=None if said is None else ON - timedelta(days=said),
        )
        is state
    )


def test_confirming_changes_no_count_and_is_kept_once(session: Session, group: SchoolGroup) -> None:
    at = days_before(session, 7)
    before = load_roster_problem(session.pk)

    states = [say(session, group, at).state for _ in range(2)]

    assert states == ["confirmed", "confirmed"]
    assert VisitNumbers.objects.count() == 1
    assert load_roster_problem(session.pk) == before
    visits = load_visits(group.pk, at=at)
    (visit,) = (one for one in visits if one.session.id == session.pk)
    assert visit.numbers is NumbersState.CONFIRMED


def test_fewer_pupils_free_spaces_and_the_line_moves_on(
    session: Session, group: SchoolGroup
) -> None:
    waiting = Person.objects.get(code="P06")
    assert record_signup(session_id=session.pk, person_ids=(waiting.pk,), at=NOW).state == "waiting"

    receipt = say(session, group, pupils_by_age=((10, 12), (11, 8)))

    assert receipt.state == "corrected"
    assert count_heads(session.pk) == session.capacity - 2
    assert SignUp.objects.get(session=session, person=waiting).state == "offered"
    pupils = [p for p in load_roster_problem(session.pk).people if p.group == group.pk]
    assert sorted(pupil.age for pupil in pupils) == [10] * 12 + [11] * 8
    assert count_signed_up(session.pk)[1] == [20 + 4 + 2]
    (letter,) = Message.objects.filter(key__startswith="numbers-changed/")
    assert "comes with 20 pupils, 4 staff and 2 helpers; before, 22 pupils" in letter.text


def test_they_hold_for_this_session_alone(session: Session, group: SchoolGroup) -> None:
    say(session, group, pupils_by_age=((10, 12), (11, 8)))

    other = load_roster_problem(Session.objects.get(code="S04").pk)
    assert sum(1 for person in other.people if person.group == group.pk) == 22
    group.refresh_from_db()
    assert group.pupils_by_age == {"10": 13, "11": 9}


def test_more_pupils_than_spaces_change_nothing_and_say_the_limit(
    session: Session, group: SchoolGroup
) -> None:
    receipt = say(session, group, pupils_by_age=((10, 14), (11, 9)))

    assert (receipt.state, [f.rule for f in receipt.findings]) == ("refused", ["SES-2"])
    assert receipt.findings[0].remedy
    assert not VisitNumbers.objects.exists()
    assert count_heads(session.pk) == session.capacity


def test_more_pupils_need_more_adults_and_the_old_booking_stays(
    session: Session, group: SchoolGroup
) -> None:
    """NSPCC Learning, recommended adult to child ratios: one adult to 8 of 9 to 12 years.

    Alone with its four staff, 30 pupils ask for four (30/8), and the site for one in charge.
    """
    Session.objects.filter(pk=session.pk).update(capacity=200)
    SignUp.objects.filter(session=session, person__isnull=False).delete()
    first = say(session, group, pupils_by_age=((10, 21), (11, 9)))
    assert first.state == "refused"
    assert {f.rule for f in first.findings if f.rule.startswith("SUP")}
    assert all(f.source for f in first.findings)
    assert not VisitNumbers.objects.exists()
    pupils = [p for p in load_roster_problem(session.pk).people if p.group == group.pk]
    assert len(pupils) == 22


def test_staff_who_stay_away_are_judged_and_leave_the_roster(
    session: Session, group: SchoolGroup
) -> None:
    kept = group.staff.order_by("pk").first()

    receipt = say(session, group, staff=(kept.pk,))

    there = {p.id for p in load_roster_problem(session.pk).people if p.staff_of == group.pk}
    assert (receipt.state, there) == ("corrected", {kept.pk})
    assert "1 staff" in Message.objects.get(key__startswith="numbers-changed/").text


def test_fewer_pupils_are_never_refused_for_what_others_left_undone(
    session: Session, group: SchoolGroup
) -> None:
    CheckRecord.objects.filter(person__staff_of=group).delete()
    SignUp.objects.filter(session=session, person__isnull=False).delete()

    assert say(session, group, pupils_by_age=((10, 13),)).state == "corrected"
    assert say(session, group, pupils_by_age=((10, 14),)).state == "refused"


def test_staff_of_another_class_never_come_with_this_one(
    session: Session, group: SchoolGroup
) -> None:
    stranger = Person.objects.filter(staff_of__code="LOCK-3B").first()
    staff = (*group.staff.values_list("pk", flat=True), stranger.pk)

    say(session, group, staff=staff)

    there = {p.id for p in load_roster_problem(session.pk).people if p.staff_of == group.pk}
    assert stranger.pk not in there


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pupils_by_age": ()}, "Withdraw the class"),
        ({"helpers": 1, "checked_helpers": 2}, "2 checked helpers, but only 1 come"),
        ({"needing_own_adult": 23}, "but only 22 come"),
    ],
)
def test_numbers_that_cannot_be_are_refused(
    session: Session, group: SchoolGroup, changes: dict[str, object], words: str
) -> None:
    with pytest.raises(ClassRefused, match=words):
        say(session, group, **changes)


def test_withdrawing_forgets_what_was_said(session: Session, group: SchoolGroup) -> None:
    say(session, group, pupils_by_age=((10, 12), (11, 8)))
    record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=NOW)

    assert not VisitNumbers.objects.exists()
    with pytest.raises(ClassRefused, match="not signed up"):
        say(session, group)


def questions() -> list[Message]:
    return list(Message.objects.filter(key__startswith="numbers/").order_by("pk"))


def test_the_liaison_is_asked_once_a_week_before(session: Session, group: SchoolGroup) -> None:
    put_due_mail(at=days_before(session, 9))
    assert questions() == []

    for days in (8, 8, 7, 6):
        put_due_mail(at=days_before(session, days))

    (letter,) = questions()
    assert letter.to == LIAISON
    assert "signed up with 22 pupils (13 of 10 years and 9 of 11 years), 4 staff" in letter.text
    assert "/classes/SLUICE-7/numbers/2027/S02/" in letter.text
    assert letter.kind == Message.Kind.NOTICE


def test_who_confirmed_before_is_not_asked(session: Session, group: SchoolGroup) -> None:
    say(session, group, days_before(session, 10))

    put_due_mail(at=days_before(session, 7))

    assert questions() == []


@pytest.mark.parametrize(
    ("days", "confirmed", "told"), [(4, False, 0), (3, False, 1), (3, True, 0)]
)
def test_the_coordinator_is_told_three_days_before(
    session: Session, group: SchoolGroup, days: int, confirmed: bool, told: int
) -> None:
    if confirmed:
        say(session, group, days_before(session, 5))

    put_due_mail(at=days_before(session, days))

    digest = Message.objects.get(key__startswith="digest/", to=COORDINATOR)
    assert digest.text.count("Numbers not confirmed: Class 7, Sluice School, Ellemarre.") == told
