"""One person moved by hand: a new draft, judged; what is out of date is refused."""

import pytest

from orchard.domain.errors import RosterError
from orchard.models import User
from scheduling.domain.errors import RosterUnknown
from scheduling.domain.people import PersonId, TaskId
from scheduling.models import Roster, Session
from scheduling.queries.rosters import load_roster
from scheduling.services.hand_edits import EditReceipt, edit_place, preview_move
from scheduling.services.rosters import propose_roster
from tests.scheduling.services.test_rosters import QUICK
from tests.signed_in import COORDINATOR, NOW


@pytest.fixture
def draft(small_day: Session) -> Roster:
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    return Roster.objects.get(session=small_day)


def move(draft: Roster, person: int, round_: int, task: int | None) -> EditReceipt:
    return edit_place(
        session_id=draft.session_id,
        roster_id=draft.pk,
        person=PersonId(person),
        round_=round_,
        task=None if task is None else TaskId(task),
        by=User.objects.get(email=COORDINATOR).pk,
        at=NOW,
    )


def test_a_move_is_kept_as_a_new_draft_and_the_old_one_is_replaced(draft: Roster) -> None:
    place = draft.places.first()
    assert place is not None
    assert place.person_id is not None

    receipt = move(draft, place.person_id, place.round, None)

    made = Roster.objects.get(session=draft.session, version=2)
    draft.refresh_from_db()
    assert receipt.version == 2
    assert (made.state, made.status, made.engine) == (Roster.State.DRAFT, "by hand", "by hand")
    assert made.made_by == User.objects.get(email=COORDINATOR)
    assert (made.value, made.bound, made.unfilled) == ({}, {}, [])
    assert draft.state == Roster.State.REPLACED
    places = {(a.person, a.round) for a in load_roster(made.pk).assignments}
    assert (place.person_id, place.round) not in places
    assert len(places) == draft.places.count() - 1


def test_a_look_keeps_nothing(draft: Roster) -> None:
    place = draft.places.first()
    assert place is not None

    seen = preview_move(
        session_id=draft.session_id,
        roster_id=draft.pk,
        person=place.member_id,
        round_=place.round,
        task=None,
    )

    assert seen.version is None
    assert Roster.objects.filter(session=draft.session).count() == 1
    assert seen.findings == move(draft, place.member_id, place.round, None).findings


def test_moving_nobody_anywhere_makes_no_version(draft: Roster) -> None:
    place = draft.places.first()
    assert place is not None

    assert move(draft, place.member_id, place.round, place.task_id).version is None
    assert Roster.objects.filter(session=draft.session).count() == 1


def test_a_roster_that_was_replaced_meanwhile_is_not_moved_in(draft: Roster) -> None:
    place = draft.places.first()
    assert place is not None
    move(draft, place.member_id, place.round, None)

    with pytest.raises(RosterUnknown, match="A newer roster was made meanwhile"):
        move(draft, place.member_id, place.round, None)


def test_a_roster_of_another_session_is_not_there(draft: Roster) -> None:
    other = Session.objects.exclude(pk=draft.session_id).first()
    assert other is not None
    draft.session = other

    with pytest.raises(RosterUnknown, match="not there"):
        move(draft, 1, 0, None)


@pytest.mark.parametrize(("round_", "task"), [(99, None), (0, 999_999)])
def test_what_the_session_does_not_have_is_refused(draft: Roster, round_: int, task) -> None:
    place = draft.places.first()
    assert place is not None

    with pytest.raises(RosterError):
        move(draft, place.member_id, round_, task)
    assert Roster.objects.filter(session=draft.session).count() == 1
