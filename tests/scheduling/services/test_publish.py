"""Publishing a roster: every calendar is told once, again only on change, and told of its end."""

from datetime import timedelta

import pytest
import vobject

from orchard.models import Task, User
from scheduling.domain.errors import RosterBlocked, RosterUnknown
from scheduling.models import (
    InviteState,
    Message,
    Person,
    Roster,
    RosterPlace,
    RosterUnits,
    Session,
    SignUp,
    SkillRecord,
)
from scheduling.services.publish import PublishReceipt, publish_roster
from tests.signed_in import NOW

LATER = NOW + timedelta(days=1)
CREW = ("P01", "P02", "P03", "P05", "P06", "P08", "P10", "P11")


@pytest.fixture
def draft(small_day: Session) -> Roster:
    """The same draft each time: a crew of three measures in round 1, the others rest."""
    return write_draft(small_day, CREW[:3], version=1)


def write_draft(session: Session, codes: tuple[str, ...], version: int) -> Roster:
    row = Roster.objects.create(
        session=session, version=version, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    task = Task.objects.get(key="GRO-A-1")
    for code in codes:
        RosterPlace.objects.create(
            roster=row, person=Person.objects.get(code=code), round=0, task=task
        )
    RosterUnits.objects.create(roster=row, task=task, round=0, units=1)
    return row


def publish(roster: Roster, at=NOW) -> PublishReceipt:
    return publish_roster(roster_id=roster.pk, at=at)


def address_of(code: str) -> str:
    return Person.objects.get(code=code).user.email


def events_to(address: str) -> list[tuple[str, int, str]]:
    """Method, SEQUENCE and UID of all calendars mailed to an address, read back by vobject."""
    found = []
    for message in Message.objects.filter(to=address).order_by("pk"):
        calendar = vobject.readOne(bytes(message.calendar).decode())
        found.append(
            (
                calendar.method.value,
                int(calendar.vevent.sequence.value),
                calendar.vevent.uid.value,
            )
        )
    return found


def withdraw(code: str) -> None:
    SignUp.objects.filter(session__code="S01", person__code=code).update(
        state=SignUp.State.WITHDRAWN
    )


def test_a_first_publication_invites_everybody_signed_up_once(draft: Roster) -> None:
    receipt = publish(draft)

    draft.refresh_from_db()
    draft.session.refresh_from_db()
    assert (receipt.version, receipt.invites, receipt.unchanged, receipt.cancelled) == (1, 8, 0, 0)
    assert (draft.state, draft.published_at) == (Roster.State.PUBLISHED, NOW)
    assert draft.session.state == Session.State.PUBLISHED
    for code in CREW:
        ((method, sequence, _),) = events_to(address_of(code))
        assert (method, sequence) == ("REQUEST", 0)


def test_publishing_again_changes_nothing_and_tells_nobody(draft: Roster) -> None:
    publish(draft)
    messages = list(Message.objects.order_by("pk").values())
    states = list(InviteState.objects.order_by("pk").values())

    receipt = publish(draft, LATER)

    draft.refresh_from_db()
    assert (receipt.invites, receipt.unchanged, receipt.cancelled) == (0, 8, 0)
    assert list(Message.objects.order_by("pk").values()) == messages
    assert list(InviteState.objects.order_by("pk").values()) == states
    assert draft.published_at == NOW


def test_the_sequence_rises_only_for_those_whose_day_changed(draft: Roster) -> None:
    """RFC 5545 section 3.8.7.4: the organiser raises SEQUENCE at a significant revision."""
    publish(draft)
    second = write_draft(draft.session, (*CREW[:2], CREW[3]), version=2)

    receipt = publish(second, LATER)

    draft.refresh_from_db()
    assert draft.state == Roster.State.REPLACED
    # One lost the place, one has it now, and the two others work beside somebody else.
    assert (receipt.invites, receipt.unchanged, receipt.cancelled) == (4, 4, 0)
    for code in CREW[:4]:
        events = events_to(address_of(code))
        assert [event[:2] for event in events] == [("REQUEST", 0), ("REQUEST", 1)]
    for code in CREW[4:]:
        assert len(events_to(address_of(code))) == 1


def test_somebody_gone_gets_a_cancel_of_the_same_entry_and_only_once(draft: Roster) -> None:
    """RFC 5546 section 3.2.5: a CANCEL names the UID, with a SEQUENCE above the last."""
    publish(draft)
    withdraw("P11")

    first = publish(draft, LATER)
    again = publish(draft, LATER)

    (asked, withdrawn) = events_to(address_of("P11"))
    assert (first.cancelled, again.cancelled) == (1, 0)
    assert withdrawn == ("CANCEL", asked[1] + 1, asked[2])


def test_somebody_who_comes_back_is_invited_anew_above_the_cancel(draft: Roster) -> None:
    publish(draft)
    withdraw("P11")
    publish(draft, LATER)
    SignUp.objects.filter(session__code="S01", person__code="P11").update(
        state=SignUp.State.CONFIRMED
    )

    publish(draft, LATER)

    events = events_to(address_of("P11"))
    assert [event[:2] for event in events] == [("REQUEST", 0), ("CANCEL", 1), ("REQUEST", 2)]
    assert len({event[2] for event in events}) == 1


def test_a_new_address_is_invited_and_the_old_one_is_told_of_the_end(draft: Roster) -> None:
    publish(draft)
    old = address_of("P11")
    User.objects.filter(person__code="P11").update(email="moved@example.org")

    receipt = publish(draft, LATER)

    (asked, withdrawn) = events_to(old)
    (anew,) = events_to("moved@example.org")
    assert (receipt.invites, receipt.cancelled) == (1, 1)
    assert (asked[0], withdrawn[0], anew[0]) == ("REQUEST", "CANCEL", "REQUEST")
    assert asked[1] < withdrawn[1] < anew[1]


def test_a_new_start_tells_everybody(draft: Roster) -> None:
    publish(draft)
    Session.objects.filter(pk=draft.session_id).update(
        starts_at=draft.session.starts_at + timedelta(minutes=30)
    )

    receipt = publish(draft, LATER)

    assert (receipt.invites, receipt.unchanged) == (8, 0)
    assert {state.sequence for state in InviteState.objects.all()} == {1}


def test_next_years_session_of_the_same_code_is_an_entry_of_its_own(draft: Roster) -> None:
    publish(draft)
    session = Session.objects.get(pk=draft.session_id)
    season = session.season
    season.pk, season.code = None, "next year"
    season.save()
    session.pk, session.season, session.state = None, season, Session.State.OPEN
    session.save()
    person = Person.objects.get(code="P11")
    SignUp.objects.create(session=session, person=person, state=SignUp.State.CONFIRMED, at=NOW)
    empty = Roster.objects.create(
        session=session, version=1, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip

    receipt = publish(empty, LATER)

    this_year, next_year = events_to(address_of("P11"))
    assert (receipt.invites, receipt.cancelled) == (1, 0)
    assert (next_year[0], next_year[1]) == ("REQUEST", 0)
    assert next_year[2] != this_year[2]


def test_somebody_without_an_address_is_named_and_the_others_invited(draft: Roster) -> None:
    Person.objects.filter(code="P11").update(user=None)

    receipt = publish(draft)

    assert receipt.unreachable == ("Tomáš H.",)
    assert receipt.invites == 7


def test_a_blocked_roster_is_refused_with_its_finding_and_tells_nobody(draft: Roster) -> None:
    """The crew's only lead in date is taken away after the roster was made."""
    SkillRecord.objects.filter(person__code__in=CREW).delete()

    with pytest.raises(RosterBlocked, match=r"\d findings? blocks? it\. Round 1"):
        publish(draft)

    draft.refresh_from_db()
    draft.session.refresh_from_db()
    assert draft.state == Roster.State.DRAFT
    assert draft.session.state == Session.State.OPEN
    assert not Message.objects.exists()
    assert not InviteState.objects.exists()


def test_a_replaced_roster_cannot_be_published(draft: Roster) -> None:
    write_draft(draft.session, CREW[:3], version=2)
    Roster.objects.filter(pk=draft.pk).update(state=Roster.State.REPLACED)

    with pytest.raises(RosterUnknown, match=r"Version 1 was replaced by a newer roster\. Reload"):
        publish(draft)

    assert not Message.objects.exists()


@pytest.mark.parametrize("state", [Session.State.CALLED_OFF, Session.State.DONE])
def test_a_session_that_is_over_stays_so_and_nobody_is_invited(draft: Roster, state: str) -> None:
    Session.objects.filter(pk=draft.session_id).update(state=state)

    with pytest.raises(RosterUnknown, match=f"S01 is {state}"):
        publish(draft)

    draft.session.refresh_from_db()
    assert draft.session.state == state
    assert not Message.objects.exists()


def test_a_roster_that_is_not_there_is_said(small_day: Session) -> None:
    with pytest.raises(RosterUnknown, match="no roster number 999999"):
        publish_roster(roster_id=999_999, at=NOW)


def test_a_failure_half_way_tells_nobody(draft: Roster, monkeypatch: pytest.MonkeyPatch) -> None:
    save = Message.save
    written = []

    def breaks_at_the_third(message: Message, *args: object, **options: object) -> None:
        if len(written) == 2:
            raise OSError("the disk is full")
        written.append(message)
        save(message, *args, **options)

    monkeypatch.setattr(Message, "save", breaks_at_the_third)

    with pytest.raises(OSError, match="disk is full"):
        publish(draft)

    draft.refresh_from_db()
    assert draft.state == Roster.State.DRAFT
    assert not Message.objects.exists()
    assert not InviteState.objects.exists()
