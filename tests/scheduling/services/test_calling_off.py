"""Rain: a session is called off, calendars are withdrawn, everybody is told once."""

from datetime import timedelta

import pytest
import vobject

from scheduling.domain.errors import RosterUnknown, SessionOver
from scheduling.models import InviteState, Message, Roster, SeasonPlan, Session, SignUp
from scheduling.queries.seasons import SeasonTitle, load_season_page
from scheduling.services.calling_off import call_off_session
from scheduling.services.publish import publish_roster
from scheduling.services.signups import record_signup
from tests.scheduling.services.test_publish import CREW, write_draft
from tests.signed_in import NOW

WHY = "Storm warning for the whole morning."


@pytest.fixture
def published(small_day: Session) -> Roster:
    roster = write_draft(small_day, CREW[:3], version=1)
    publish_roster(roster_id=roster.pk, at=NOW)
    Message.objects.all().delete()
    return roster


def test_calendars_are_withdrawn_and_everybody_is_told_once(published: Roster) -> None:
    session = published.session
    receipt = call_off_session(session_id=session.pk, why=WHY, at=NOW)
    session.refresh_from_db()
    assert session.state == Session.State.CALLED_OFF
    assert receipt.withdrawn == InviteState.objects.filter(session=session).count() > 0
    assert set(InviteState.objects.values_list("method", flat=True)) == {"CANCEL"}
    messages = list(Message.objects.all())
    assert len({message.to for message in messages}) == len(messages)
    for message in messages:
        assert WHY in message.text
        if message.calendar:
            event = vobject.readOne(bytes(message.calendar).decode()).vevent
            assert (event.status.value, event.sequence.value) == ("CANCELLED", "1")


def test_calling_off_twice_tells_nobody_again(published: Roster) -> None:
    call_off_session(session_id=published.session_id, why=WHY, at=NOW)
    before = Message.objects.count()
    again = call_off_session(session_id=published.session_id, why=WHY, at=NOW)
    assert (again.withdrawn, again.told, Message.objects.count()) == (0, 0, before)


def test_before_any_roster_those_signed_up_are_told_by_plain_mail(small_day: Session) -> None:
    receipt = call_off_session(session_id=small_day.pk, why=WHY, at=NOW)
    reachable = SignUp.objects.filter(session=small_day, person__user__isnull=False).count()
    assert (receipt.withdrawn, receipt.told) == (0, reachable)
    assert not any(message.calendar for message in Message.objects.all())


def test_the_season_plan_is_out_of_date_and_nobody_signs_up_any_more(published: Roster) -> None:
    session = published.session
    call_off_session(session_id=session.pk, why=WHY, at=NOW)
    title = SeasonTitle(session.season_id, session.season.code, session.season.name, 1)
    plan = load_season_page(title).plan
    assert plan is not None
    assert plan.is_stale
    assert SeasonPlan.objects.filter(current=True).count() == 1
    answer = record_signup(session_id=session.pk, person_ids=(), at=NOW)
    assert answer.people == ()
    with pytest.raises(RosterUnknown, match="called off"):
        publish_roster(roster_id=published.pk, at=NOW)


def test_a_session_that_has_begun_is_recorded_instead(small_day: Session) -> None:
    later = small_day.starts_at + timedelta(minutes=1)
    with pytest.raises(SessionOver, match="Record what"):
        call_off_session(session_id=small_day.pk, why=WHY, at=later)
    small_day.refresh_from_db()
    assert small_day.state == Session.State.OPEN
