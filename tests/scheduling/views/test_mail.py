"""The mail page, stopping reminders by one press, and calendar addresses."""

from datetime import timedelta
from html import unescape

import pytest
import time_machine
import vobject
from django.core.signing import Signer
from django.test import Client
from icalendar import Calendar

from orchard.models import Site
from scheduling.models import CalendarFeed, KeptReply, MailWish, Message, Person, Session, SignUp
from scheduling.services.outbox import STOP_SALT
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LIAISON,
    NOW,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


def put_mail(**more: object) -> Message:
    site = Site.objects.get(slug="traverser-yard")
    return Message.objects.create(
        site=site, to="ana@example.org", subject="Coring", text="Come.", made_at=NOW, **more
    )


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


def test_the_coordinator_sees_what_was_sent_and_what_failed(sign_in: SignIn) -> None:
    put_mail(sent_at=NOW, kind="invite", sequence=3)
    put_mail(given_up=True, failure="no such person")
    KeptReply.objects.create(
        site=Site.objects.get(slug="traverser-yard"), digest="1", read_at=NOW,
        attendee="eve@example.org", answer="DECLINED", outcome="refused", reason="Not invited.",
    )  # fmt: skip
    client = sign_in(COORDINATOR)

    page = read(client, f"{SITE}/mail/")

    assert "1 sent, 0 waiting, 1 given up" in page
    assert '<td data-label="Version">3</td>' in page
    assert "no such person" in page
    assert "not acted on: Not invited." in page
    assert "no such person" not in read(client, f"{SITE}/mail/?only=sent")


@pytest.mark.parametrize("who", [VOLUNTEER, GUARDIAN, LIAISON, STRANGER])
def test_nobody_else_sees_the_mail(sign_in: SignIn, who: str) -> None:
    assert sign_in(who).get(f"{SITE}/mail/").status_code == 404


def test_a_mail_of_another_site_is_not_tried_again(sign_in: SignIn) -> None:
    mine = put_mail(given_up=True)
    other = put_mail(given_up=True)
    Message.objects.filter(pk=other.pk).update(site=Site.objects.get(slug="elsewhere"))
    client = sign_in(COORDINATOR)

    for message in (mine, other):
        client.post(f"{SITE}/mail/again/", {"mail": message.pk})
    client.post(f"{SITE}/mail/again/", {"mail": "x"})

    mine.refresh_from_db()
    other.refresh_from_db()
    assert (mine.given_up, other.given_up) == (False, True)


def test_reminders_stop_by_one_press_without_sign_in_or_token() -> None:
    """RFC 8058 section 3.2: a POST with List-Unsubscribe=One-Click, and no cookies."""
    signed = Signer(salt=STOP_SALT).sign("ana@example.org")
    client = Client(enforce_csrf_checks=True)
    address = f"{SITE}/mail/reminders/{signed}/"

    assert "Send no more reminders" in read(client, address)
    assert not MailWish.objects.exists()  # opening the page, as scanners of mail do, stops nothing
    for _ in range(2):
        assert client.post(address, {"List-Unsubscribe": "One-Click"}).status_code == 200
    assert [wish.address for wish in MailWish.objects.all()] == ["ana@example.org"]
    client.post(address, {"again": "1"})
    assert not MailWish.objects.exists()


@pytest.mark.parametrize("signed", ["ana@example.org", "ana@example.org:forged", "x"])
def test_a_forged_address_stops_nothing(signed: str) -> None:
    assert Client().post(f"{SITE}/mail/reminders/{signed}/").status_code == 404
    assert not MailWish.objects.exists()


def open_feed(client: Client, of: str = "mine") -> str:
    client.post(f"{SITE}/calendar/start/", {"of": of})
    return f"{SITE}/calendar/{CalendarFeed.objects.latest('pk').secret}.ics"


def sign_up_household(code: str) -> list[str]:
    """Sign a guardian's whole household up and return its given names."""
    people = Person.objects.filter(guardian__user__email=GUARDIAN).order_by("first_name")
    session = Session.objects.get(code=code)
    for person in people:
        SignUp.objects.update_or_create(
            session=session, person=person, defaults={"state": "confirmed", "at": NOW}
        )
    return [person.first_name for person in people]


def test_a_feed_shows_ones_own_people_and_nobody_elses(sign_in: SignIn) -> None:
    names = sign_up_household("S02")
    address = open_feed(sign_in(GUARDIAN))
    others = Person.objects.exclude(first_name__in=names).values_list("family_name", flat=True)

    response = Client().get(address)

    read_back = vobject.readOne(response.content.decode())
    titles = [event.summary.value for event in read_back.vevent_list]
    assert any(all(name in title for name in names) for title in titles)
    text = response.content.decode()
    assert not [name for name in others if name and name in text]
    assert "ATTENDEE" not in text
    assert "METHOD" not in text


def test_rfc7986_a_feed_names_itself_its_source_and_when_to_look_again(sign_in: SignIn) -> None:
    address = open_feed(sign_in(COORDINATOR), "site")

    text = Client().get(address).content.decode().replace("\r\n ", "")

    assert text.count("REFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n") == 1
    assert text.count("X-PUBLISHED-TTL:PT6H\r\n") == 1
    assert text.count("SOURCE;VALUE=URI:http") == 1
    assert len([line for line in text.split("\r\n") if line.startswith("NAME:")]) == 1
    assert (
        len(Calendar.from_ical(text).events)
        == Session.objects.filter(season__site__slug="traverser-yard").count()
    )


def test_a_feed_that_says_the_same_is_not_sent_again(sign_in: SignIn) -> None:
    """RFC 9110 sections 13.1.2 and 13.1.3: If-None-Match, else If-Modified-Since."""
    sign_up_household("S02")
    address = open_feed(sign_in(GUARDIAN))
    first = Client().get(address)

    with time_machine.travel(NOW + timedelta(days=1), tick=False):
        same = Client().get(address, HTTP_IF_NONE_MATCH=first["ETag"])
        since = Client().get(address, HTTP_IF_MODIFIED_SINCE=first["Last-Modified"])
        Session.objects.filter(code="S02").update(meeting_point="The other gate")
        moved = Client().get(address, HTTP_IF_NONE_MATCH=first["ETag"])

    assert (same.status_code, same.content) == (304, b"")
    assert since.status_code == 304
    assert same["ETag"] == first["ETag"]
    assert moved.status_code == 200
    assert moved["Last-Modified"] != first["Last-Modified"]
    assert b"The other gate" in moved.content.replace(b"\r\n ", b"")


def test_a_session_called_off_stays_in_the_feed_as_cancelled(sign_in: SignIn) -> None:
    sign_up_household("S02")
    address = open_feed(sign_in(GUARDIAN))
    Session.objects.filter(code="S02").update(state=Session.State.CALLED_OFF)

    (event,) = [
        event
        for event in Calendar.from_ical(Client().get(address).content).events
        if "Called off" in str(event["SUMMARY"])
    ]

    assert event["STATUS"] == "CANCELLED"


def test_an_address_that_was_ended_answers_no_more(sign_in: SignIn) -> None:
    client = sign_in(GUARDIAN)
    address = open_feed(client)
    assert open_feed(client) == address  # pressing twice makes one

    client.post(f"{SITE}/calendar/end/", {"feed": CalendarFeed.objects.latest("pk").pk})

    assert Client().get(address).status_code == 404
    assert open_feed(client) != address


def test_nobody_ends_or_makes_an_address_that_is_not_theirs(sign_in: SignIn) -> None:
    open_feed(sign_in(GUARDIAN))
    feed = CalendarFeed.objects.get()
    other = sign_in(VOLUNTEER)

    assert other.post(f"{SITE}/calendar/end/", {"feed": feed.pk}).status_code == 404
    assert other.post(f"{SITE}/calendar/start/", {"of": "site"}).status_code == 404
    assert other.post(f"{SITE}/calendar/start/", {"of": "class Y6"}).status_code == 404
    assert Client().get(f"/elsewhere/calendar/{feed.secret}.ics").status_code == 404
    assert feed.secret not in read(other, f"{SITE}/calendar/")


def test_a_liaison_gets_an_address_for_a_class_without_names(sign_in: SignIn) -> None:
    client = sign_in(LIAISON)
    page = read(client, f"{SITE}/calendar/")
    of = page.split('name="of" value="')[1].split('"')[0]

    address = open_feed(client, of)

    assert of.startswith("class ")
    assert Client().get(address).status_code == 200


def test_a_season_can_be_had_as_one_file(sign_in: SignIn) -> None:
    client = sign_in(VOLUNTEER)

    written = client.get(f"{SITE}/seasons/2027/season.ics").content.decode()

    starts = {event.dtstart.value for event in vobject.readOne(written).vevent_list}
    assert starts == set(
        Session.objects.filter(
            season__code="2027", season__site__slug="traverser-yard"
        ).values_list("starts_at", flat=True)
    )
    assert client.get(f"{SITE}/seasons/1999/season.ics").status_code == 404
