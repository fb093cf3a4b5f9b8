"""A class in the line: one block in the order of arrival, offered spaces only when all fit."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from scheduling.models import CheckRecord, Message, Person, SchoolGroup, Session, SignUp
from scheduling.queries.session_rows import count_heads
from scheduling.queries.signups import load_attendance
from scheduling.services.class_bookings import (
    CLASS_LATE,
    record_group_signup,
    record_group_withdrawal,
)
from scheduling.services.session_admission import count_free
from scheduling.services.signups import record_signup, record_withdrawal
from scheduling.services.waiting import (
    CLASS_LAST_OFFER,
    CLASS_TIME_TO_ANSWER,
    answer_class_offer,
    settle_lines,
)
from tests.signed_in import LIAISON, NOW

LATER = NOW + timedelta(hours=1)
ADULTS = ("P01", "P05", "P11", "P29", "P02")
HEADS = 22 + 4 + 2  # pupils, staff and helpers of the class, as its file says

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


@pytest.fixture
def session(db: None) -> Session:
    """S02 with five adults, and one space too few for the class."""
    session = Session.objects.get(code="S02")
    session.capacity = len(ADULTS) + HEADS - 1
    session.save()
    SignUp.objects.filter(session=session).delete()
    for code in ADULTS:
        SignUp.objects.create(session=session, person=person(code), state="confirmed", at=NOW)
    return session


@pytest.fixture
def group(db: None) -> SchoolGroup:
    return SchoolGroup.objects.get(code="SLUICE-7")


def person(code: str) -> Person:
    return Person.objects.get(code=code)


def book(session: Session, group: SchoolGroup, *, wait: bool = True, at=LATER):
    return record_group_signup(session_id=session.pk, group_id=group.pk, at=at, wait=wait)


def ask(session: Session, *codes: str, at=LATER):
    ids = tuple(person(code).pk for code in codes)
    return record_signup(session_id=session.pk, person_ids=ids, at=at)


def leave(session: Session, code: str, at=LATER) -> None:
    record_withdrawal(session_id=session.pk, person_ids=(person(code).pk,), at=at)


def row_of(session: Session, group: SchoolGroup) -> SignUp:
    return SignUp.objects.get(session=session, group=group)


def test_a_class_that_does_not_fit_waits_only_when_asked_to(
    session: Session, group: SchoolGroup
) -> None:
    refused = book(session, group, wait=False)
    assert (refused.state, {f.rule for f in refused.findings}) == ("refused", {"SES-2"})
    assert not SignUp.objects.filter(session=session, group=group).exists()

    first, again = book(session, group), book(session, group)

    assert [(r.state, r.place) for r in (first, again)] == [("waiting", 1)] * 2
    assert "28 more would be too many" in row_of(session, group).why
    assert count_heads(session.pk) == len(ADULTS)


def test_people_and_classes_stand_in_one_line_in_order_of_arrival(
    session: Session, group: SchoolGroup
) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=HEADS)
    for each in range(HEADS - len(ADULTS)):
        other = Person.objects.create(
            site=group.site, code=f"Z{each}", first_name="Adult", birth_year=1980, birth_month=1
        )
        SignUp.objects.create(session=session, person=other, state="confirmed", at=NOW)
    places = [ask(session, "P06").place, book(session, group).place, ask(session, "P08").place]

    assert places == [1, 2, 3]
    names = [(one.name, one.place) for one in load_attendance(session.pk).line]
    assert names == [(str(person("P06")), 1), (str(group), 2), (str(person("P08")), 3)]


def test_freed_spaces_are_offered_to_the_class_only_when_it_fits_whole(
    session: Session, group: SchoolGroup
) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=session.capacity - 1)
    book(session, group)

    leave(session, "P05")
    assert row_of(session, group).state == "waiting"  # two spaces were missing, one came free

    leave(session, "P02")
    row = row_of(session, group)
    assert (row.state, row.offer_until) == ("offered", LATER + CLASS_TIME_TO_ANSWER)
    (letter,) = Message.objects.filter(key__startswith="offer/")
    assert letter.to == LIAISON
    assert "space for Class 7 now" in letter.text
    assert "/traverser-yard/classes/" in letter.text
    assert count_free(Session.objects.get(pk=session.pk)) == 0


def test_who_fits_goes_before_a_class_that_does_not(session: Session, group: SchoolGroup) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=len(ADULTS) + 2)
    SignUp.objects.create(session=session, person=person("P03"), state="confirmed", at=NOW)
    SignUp.objects.create(session=session, person=person("P06"), state="confirmed", at=NOW)
    Session.objects.filter(pk=session.pk).update(capacity=HEADS + 1)
    book(session, group)
    Session.objects.filter(pk=session.pk).update(capacity=len(ADULTS) + 2)
    ask(session, "P08")

    leave(session, "P05")

    assert row_of(session, group).state == "waiting"
    assert SignUp.objects.get(session=session, person=person("P08")).state == "offered"


def test_spaces_offered_to_a_class_are_nobody_elses(session: Session, group: SchoolGroup) -> None:
    book(session, group)
    leave(session, "P05")

    assert row_of(session, group).state == "offered"
    assert ask(session, "P06").state == "waiting"


def test_a_child_does_not_lean_on_the_staff_of_a_class_that_has_not_answered(
    session: Session, group: SchoolGroup
) -> None:
    """Beside the class its four checked adults would do; without it nobody supervises."""
    Session.objects.filter(pk=session.pk).update(capacity=60)
    SignUp.objects.filter(session=session).delete()
    SignUp.objects.create(
        session=session, group=group, state="offered", at=NOW, line=1,
        offer_until=NOW + timedelta(days=2),
    )  # fmt: skip
    CheckRecord.objects.filter(person__code="P02").delete()

    receipt = ask(session, "P02", "P53")

    assert receipt.state == "waiting"
    assert {f.rule for f in receipt.findings} & {"SUP-1", "SUP-2", "SUP-3", "SUP-4"}


def test_accepting_confirms_the_whole_class_once(session: Session, group: SchoolGroup) -> None:
    book(session, group)
    leave(session, "P05")

    def answer():
        return answer_class_offer(session_id=session.pk, group_id=group.pk, accept=True, at=LATER)

    first, again = answer(), answer()

    assert (first.state, first.people, again.people) == ("confirmed", ("Class 7",), ())
    assert count_heads(session.pk) == len(ADULTS) - 1 + HEADS


@pytest.mark.parametrize("how", ["passed on", "lapsed", "withdrawn"])
def test_spaces_a_class_does_not_take_go_to_the_next(
    session: Session, group: SchoolGroup, how: str
) -> None:
    book(session, group)
    leave(session, "P05")
    Session.objects.filter(pk=session.pk).update(capacity=len(ADULTS) - 1 + HEADS)
    assert ask(session, "P06").state == "waiting"

    if how == "passed on":
        answer_class_offer(session_id=session.pk, group_id=group.pk, accept=False, at=LATER)
    elif how == "lapsed":
        settle_lines(at=LATER + CLASS_TIME_TO_ANSWER)
    else:
        record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=LATER)

    assert row_of(session, group).state == "withdrawn"
    assert SignUp.objects.get(session=session, person=person("P06")).state == "offered"
    assert Message.objects.filter(key__startswith="lapsed/").count() == (how == "lapsed")


def test_an_offer_that_no_longer_holds_lets_the_class_wait_on_at_its_place(
    session: Session, group: SchoolGroup
) -> None:
    book(session, group)
    leave(session, "P05")
    place = row_of(session, group).line
    Session.objects.filter(pk=session.pk).update(capacity=HEADS)

    answered = answer_class_offer(session_id=session.pk, group_id=group.pk, accept=True, at=LATER)

    assert answered.state == "refused"
    assert answered.findings
    row = row_of(session, group)
    assert (row.state, row.line) == ("waiting", place)
    assert count_heads(session.pk) == len(ADULTS) - 1


def test_a_class_larger_than_the_session_does_not_wait_in_vain(
    session: Session, group: SchoolGroup
) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=HEADS - 1)

    assert book(session, group).state == "refused"
    assert not SignUp.objects.filter(session=session, group=group).exists()


def test_two_days_before_no_class_is_offered_spaces(session: Session, group: SchoolGroup) -> None:
    book(session, group)

    leave(session, "P05", at=session.starts_at - CLASS_LAST_OFFER)

    assert row_of(session, group).state == "waiting"


def test_a_class_in_two_places_at_once_is_refused(session: Session, group: SchoolGroup) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=60)
    other = Session.objects.get(code="S04")  # the class comes to it by its file
    Session.objects.filter(pk=other.pk).update(starts_at=session.starts_at + timedelta(hours=1))

    receipt = book(session, group)

    assert (receipt.state, [f.rule for f in receipt.findings]) == ("refused", ["SES-3"])
    assert "S04" in receipt.findings[0].text


@pytest.mark.parametrize(("before", "told"), [(timedelta(days=6), 1), (timedelta(days=8), 0)])
def test_a_class_that_withdraws_late_is_told_to_the_organiser(
    session: Session, group: SchoolGroup, before: timedelta, told: int
) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=60)
    assert book(session, group).state == "confirmed"
    assert timedelta(days=7) == CLASS_LATE
    at = session.starts_at - before

    record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=at)
    record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=at)

    letters = Message.objects.filter(key__startswith="late/class/")
    assert letters.count() == told
    assert all("22 pupils and 4 staff" in letter.text for letter in letters)


@pytest.mark.parametrize(
    "columns",
    [
        {"state": "waiting", "line": None},
        {"state": "confirmed", "line": 3},
        {"state": "offered", "line": 3, "offer_until": None},
    ],
)
def test_the_database_keeps_the_line_of_classes_too(
    session: Session, group: SchoolGroup, columns: dict[str, object]
) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        SignUp.objects.create(session=session, group=group, at=NOW, **columns)
    SignUp.objects.create(session=session, group=group, at=NOW, state="waiting", line=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        SignUp.objects.create(session=session, group=group, at=NOW, state="confirmed")
