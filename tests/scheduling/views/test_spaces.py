"""What somebody thinking of coming is told: spaces, for whom, who leads, who of theirs comes."""

import re
from html import unescape

import pytest
import time_machine
from django.test import Client

from scheduling.models import CheckRecord, Person, Session, SignUp
from scheduling.queries.spaces import load_spaces
from scheduling.services.session_admission import count_free
from tests.signed_in import GUARDIAN, LIAISON, NOW, S02, SITE, SignIn

LIST = f"{SITE}/sessions/"


def read(client: Client, address: str) -> str:
    page = unescape(client.get(address).content.decode())
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


@pytest.fixture
def session(season_of_the_file: None, db: None) -> Session:
    return Session.objects.get(code="S02")


def test_the_page_says_what_is_free_for_whom_and_who_leads(
    sign_in: SignIn, session: Session
) -> None:
    text = read(sign_in(GUARDIAN), f"{S02}/")

    taken = SignUp.objects.filter(session=session, state="confirmed").count()
    assert f"Spaces {session.capacity - taken} of {session.capacity} free" in text
    assert f"adults: {session.capacity - taken} more" in text
    assert re.search(r"Who leads \w+", text)
    assert "nobody who may lead" not in text


def test_without_a_lead_it_says_so(sign_in: SignIn, session: Session) -> None:
    session.signups.filter(person__user__isnull=False).delete()

    assert "nobody who may lead is signed up yet" in read(sign_in(GUARDIAN), f"{S02}/")


def test_a_full_session_says_who_waits_and_opens_to_nobody(
    sign_in: SignIn, session: Session
) -> None:
    session.capacity = session.signups.filter(state="confirmed").count()
    session.save()
    coming = session.signups.values("person")
    waits = Person.objects.filter(site=session.season.site, active=True).exclude(pk__in=coming)[0]
    SignUp.objects.create(session=session, person=waits, state="waiting", at=NOW, line=1)

    text = read(sign_in(GUARDIAN), f"{S02}/")

    assert f"Spaces all {session.capacity} taken; 1 waits in line" in text
    assert "Open to" not in text
    assert f"all {session.capacity} taken; 1 waits in line" in read(sign_in(GUARDIAN), LIST)


def test_what_stops_the_next_young_person_is_said_with_its_rule(
    sign_in: SignIn, session: Session
) -> None:
    CheckRecord.objects.all().delete()

    text = read(sign_in(GUARDIAN), f"{S02}/")

    remedy = r"[\w ]+ more checked adults? and [\w ]+ can come\. Rule SUP-"
    assert re.search(rf"12 to 15 years: none as things are\. {remedy}", text), text


def test_an_offered_space_is_not_free(sign_in: SignIn, session: Session) -> None:
    before = SignUp.objects.filter(session=session, state="confirmed").count()
    coming = session.signups.values("person")
    offered = Person.objects.filter(site=session.season.site, active=True).exclude(pk__in=coming)[0]
    SignUp.objects.create(
        session=session, person=offered, state="offered", at=NOW, line=1, offer_until=NOW
    )

    assert f"{session.capacity - before - 1} of {session.capacity} free" in read(
        sign_in(LIAISON), LIST
    )


def test_the_free_spaces_shown_are_those_sign_up_gives(session: Session) -> None:
    """Classes among them, with staff and the helpers who have no name on file."""
    sessions = {row.pk: row for row in Session.objects.all()}
    shown = load_spaces({pk: row.capacity for pk, row in sessions.items()})

    assert any(row.signups.filter(group__helpers__gt=0).exists() for row in sessions.values())
    assert {pk: one.free for pk, one in shown.items()} == {
        pk: count_free(row) for pk, row in sessions.items()
    }


def test_the_list_names_ones_own_and_nobody_elses(sign_in: SignIn, session: Session) -> None:
    mine = Person.objects.filter(guardian__user__email=GUARDIAN)[0]
    SignUp.objects.update_or_create(
        session=session, person=mine, defaults={"state": "confirmed", "at": NOW}
    )

    assert mine.first_name in read(sign_in(GUARDIAN), LIST)
    assert mine.first_name not in read(sign_in(LIAISON), LIST)


def test_a_session_that_is_over_is_open_to_nobody(sign_in: SignIn, session: Session) -> None:
    client = sign_in(GUARDIAN)
    with time_machine.travel(session.starts_at, tick=False):
        assert "Open to" not in read(client, f"{S02}/")
