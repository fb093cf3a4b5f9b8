"""What is coming, one's own sessions, and the file for a calendar."""

from http import HTTPStatus

from icalendar import Calendar

from scheduling.models import Session
from tests.signed_in import GUARDIAN, S02, SITE, VOLUNTEER, SignIn


def test_coming_sessions_are_listed_soonest_first_in_the_sites_time(sign_in: SignIn) -> None:
    text = sign_in(VOLUNTEER).get(f"{SITE}/sessions/").content.decode()

    assert text.index("First Saturday of the year") < text.index("Second March Saturday")
    # 09:30 in Amsterdam is 08:30 UTC in March, and stays 09:30 after the change of clocks.
    assert "Sat 20 March 2027, 09:30 to 12:30" in text
    assert "Sat 17 April 2027, 09:30 to 12:30" in text


def test_a_session_called_off_is_not_listed_and_says_so_itself(sign_in: SignIn) -> None:
    Session.objects.filter(code="S02").update(state=Session.State.CALLED_OFF)
    client = sign_in(VOLUNTEER)

    assert "Second March Saturday" not in client.get(f"{SITE}/sessions/").content.decode()
    page = client.get(f"{S02}/").content.decode()
    assert "called off" in page
    assert 'id="sign-up"' not in page


def test_my_sessions_name_only_ones_own_people(sign_in: SignIn) -> None:
    text = sign_in(GUARDIAN).get(f"{SITE}/my-sessions/").content.decode()

    assert "Lan" in text
    assert "session.ics" in text
    assert "Wojciech" not in text


def test_the_calendar_file_is_one_event_at_the_sessions_time_and_names_nobody(
    sign_in: SignIn,
) -> None:
    answer = sign_in(VOLUNTEER).get(f"{S02}/session.ics")

    assert answer.headers["Content-Type"].startswith("text/calendar")
    (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
    assert event["DTSTART"].dt.isoformat() == "2027-03-20T09:30:00+01:00"
    assert event["DTEND"].dt.isoformat() == "2027-03-20T12:30:00+01:00"
    assert "ATTENDEE" not in event


def test_the_short_address_in_invites_leads_to_the_session(sign_in: SignIn) -> None:
    answer = sign_in(VOLUNTEER).get(f"{SITE}/sessions/S02/")

    assert answer.status_code == HTTPStatus.FOUND
    assert answer.headers["Location"] == f"{S02}/"
    assert sign_in(VOLUNTEER).get(f"{SITE}/sessions/S99/").status_code == HTTPStatus.NOT_FOUND
