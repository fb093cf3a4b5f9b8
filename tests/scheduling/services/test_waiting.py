"""The line: order of arrival, the first who fits is offered, an offer ends, nobody is doubled."""

from datetime import timedelta

import pytest

from scheduling.models import ConsentRecord, Message, Person, SchoolGroup, Session, SignUp
from scheduling.queries.session_rows import count_heads
from scheduling.services.class_bookings import record_group_withdrawal
from scheduling.services.signups import (
    record_signup,
    record_withdrawal,
)
from scheduling.services.waiting import (
    TIME_TO_ANSWER,
    answer_offer,
    find_place,
    settle_lines,
)
from tests.signed_in import NOW

LATER = NOW + timedelta(hours=1)
ADULTS = ("P01", "P11", "P29")

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


def person(code: str) -> Person:
    return Person.objects.get(code=code)


@pytest.fixture
def session(db: None) -> Session:
    """S02 with three supervising adults, and not one space more."""
    session = Session.objects.get(code="S02")
    session.capacity = 3
    session.save()
    SignUp.objects.filter(session=session).delete()
    for code in ADULTS:
        SignUp.objects.create(session=session, person=person(code), state="confirmed", at=NOW)
    return session


def ask(session: Session, *codes: str, at=LATER, together: bool = True):
    ids = tuple(person(code).pk for code in codes)
    return record_signup(session_id=session.pk, person_ids=ids, at=at, together=together)


def leave(session: Session, *codes: str, at=LATER):
    ids = tuple(person(code).pk for code in codes)
    return record_withdrawal(session_id=session.pk, person_ids=ids, at=at)


def states(session: Session) -> dict[str, str]:
    rows = SignUp.objects.filter(session=session).exclude(person__code__in=ADULTS)
    return dict(rows.values_list("person__code", "state"))


def test_who_finds_no_space_waits_in_order_of_arrival(session: Session) -> None:
    first = ask(session, "P02")
    second = ask(session, "P05")
    again = ask(session, "P02", at=LATER + timedelta(hours=1))

    assert [first.state, second.state, again.state] == ["waiting"] * 3
    assert [first.place, second.place, again.place] == [1, 2, 1]
    assert "takes 3 people" in SignUp.objects.get(person__code="P02", session=session).why


def test_a_space_that_comes_free_is_offered_to_the_first_in_line(session: Session) -> None:
    ask(session, "P02")
    ask(session, "P05")

    leave(session, "P11")

    assert states(session) == {"P02": "offered", "P05": "waiting"}
    row = SignUp.objects.get(session=session, person__code="P02")
    assert row.offer_until == LATER + TIME_TO_ANSWER
    (letter,) = Message.objects.filter(key__startswith="offer/")
    assert letter.to == person("P02").user.email
    assert "/seasons/2027/sessions/S02/" in letter.text
    assert find_place(session.pk, person("P05").pk) == 1


def test_an_offered_space_is_nobody_elses(session: Session) -> None:
    ask(session, "P02")
    leave(session, "P11")

    newcomer = ask(session, "P05")

    assert newcomer.state == "waiting"
    assert states(session)["P02"] == "offered"


def test_taking_up_an_offer_confirms_once(session: Session) -> None:
    ask(session, "P02")
    leave(session, "P11")
    mine = (person("P02").pk,)

    first = answer_offer(session_id=session.pk, person_ids=mine, accept=True, at=LATER)
    again = answer_offer(session_id=session.pk, person_ids=mine, accept=True, at=LATER)

    assert (first.state, first.people) == ("confirmed", ("Hạnh",))
    assert again.people == ()
    assert states(session)["P02"] == "confirmed"


@pytest.mark.parametrize("how", ["left", "lapsed"])
def test_an_offer_not_taken_goes_to_the_next(session: Session, how: str) -> None:
    ask(session, "P02")
    ask(session, "P05")
    leave(session, "P11")

    if how == "left":
        answer_offer(session_id=session.pk, person_ids=(person("P02").pk,), accept=False, at=LATER)
    else:
        settle_lines(at=LATER + TIME_TO_ANSWER)
        settle_lines(at=LATER + TIME_TO_ANSWER)

    assert states(session) == {"P02": "withdrawn", "P05": "offered"}
    assert Message.objects.filter(key__startswith="lapsed/").count() == (how == "lapsed")


def test_an_answer_after_the_time_finds_the_space_gone(session: Session) -> None:
    ask(session, "P02")
    ask(session, "P05")
    leave(session, "P11")

    late = answer_offer(
        session_id=session.pk,
        person_ids=(person("P02").pk,),
        accept=True,
        at=LATER + TIME_TO_ANSWER,
    )

    assert late.people == ()
    assert states(session) == {"P02": "withdrawn", "P05": "offered"}


def test_a_family_that_comes_together_is_passed_over_for_one_who_fits(session: Session) -> None:
    """Two spaces are needed and one is free: the first in line who fits is offered it."""
    assert ask(session, "P02", "P53").place == 1
    ask(session, "P05")

    leave(session, "P11")

    assert states(session) == {"P02": "waiting", "P53": "waiting", "P05": "offered"}
    Session.objects.filter(pk=session.pk).update(capacity=5)
    settle_lines(at=LATER)
    assert states(session)["P02"] == states(session)["P53"] == "offered"


def test_those_who_ask_one_by_one_are_answered_one_by_one(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=4)

    receipt = ask(session, "P02", "P53", together=False)

    assert receipt.state == "mixed"
    assert (receipt.waiting, receipt.refused) == (("Lan",), ())
    assert states(session) == {"P02": "confirmed", "P53": "waiting"}


def test_a_signed_consent_is_waited_for(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=9)
    consent = ConsentRecord.objects.filter(person__code="P41").first()
    ConsentRecord.objects.filter(person__code="P41").delete()
    assert ask(session, "P41").state == "waiting"

    consent.save(force_insert=True)
    settle_lines(at=LATER)

    assert states(session)["P41"] == "offered"


def test_what_waiting_cannot_change_is_refused(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=9)

    assert ask(session, "P53").state == "refused"  # six years old, without the guardian
    assert states(session) == {}


def test_leaving_the_line_makes_room_in_it(session: Session) -> None:
    ask(session, "P02")
    ask(session, "P05")

    leave(session, "P02")

    assert states(session) == {"P02": "withdrawn", "P05": "waiting"}
    assert find_place(session.pk, person("P05").pk) == 1
    assert ask(session, "P02").place == 2


def test_shortly_before_the_start_no_space_is_offered(session: Session) -> None:
    ask(session, "P02")
    close = session.starts_at - timedelta(hours=2)

    leave(session, "P11", at=close)

    assert states(session) == {"P02": "waiting"}
    (late,) = Message.objects.filter(key__startswith="late/")
    assert late.to == session.season.site.organiser_email


def test_withdrawing_in_good_time_is_not_told_as_late(session: Session) -> None:
    leave(session, "P11")

    assert not Message.objects.filter(key__startswith="late/").exists()


def test_a_clash_with_another_session_is_refused_and_named(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=9)
    other = Session.objects.get(code="S03")
    Session.objects.filter(pk=other.pk).update(starts_at=session.starts_at + timedelta(hours=1))
    SignUp.objects.filter(session=other).delete()
    SignUp.objects.create(session=other, person=person("P02"), state="confirmed", at=NOW)

    receipt = ask(session, "P02")

    assert (receipt.state, [f.rule for f in receipt.findings]) == ("refused", ["SES-3"])
    assert "S03" in receipt.findings[0].text
    Session.objects.filter(pk=other.pk).update(state=Session.State.CALLED_OFF)
    assert ask(session, "P02").state == "confirmed"


def test_a_class_that_withdraws_frees_its_spaces_for_the_line(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=60)
    group = SchoolGroup.objects.order_by("code").first()
    SignUp.objects.create(session=session, group=group, state="confirmed", at=NOW)
    heads = count_heads(session.pk)
    Session.objects.filter(pk=session.pk).update(capacity=heads)
    assert ask(session, "P02").state == "waiting"

    record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=LATER)

    assert SignUp.objects.get(session=session, person__code="P02").state == "offered"
