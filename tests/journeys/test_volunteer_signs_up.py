"""The volunteer's way: sign up, read the reason of a refusal, withdraw, keep the date."""

from datetime import datetime
from http import HTTPStatus
from zoneinfo import ZoneInfo

import pytest
import vobject
from django.test import Client

from scheduling.models import ConsentRecord, Person, Session, SignUp
from tests.journeys.conftest import Enter
from tests.signed_in import GUARDIAN, SEASON, SITE, VOLUNTEER

S05 = f"{SEASON}/sessions/S05"


@pytest.fixture
def volunteer(enter: Enter) -> Client:
    return enter(VOLUNTEER)


@pytest.fixture
def guardian(enter: Enter) -> Client:
    SignUp.objects.filter(session__code="S05", person__user__email=GUARDIAN).delete()
    SignUp.objects.filter(session__code="S05", person__guardian__user__email=GUARDIAN).delete()
    return enter(GUARDIAN)


def state_of(code: str) -> str | None:
    rows = SignUp.objects.filter(session__code="S05", person__code=code)
    return rows.values_list("state", flat=True).first()


def id_of(code: str) -> int:
    return Person.objects.get(code=code).pk


def test_signing_up_keeping_the_date_and_withdrawing(volunteer: Client) -> None:
    """Søren (P06) is not down for S05 in the files."""
    assert state_of("P06") is None
    title = Session.objects.get(code="S05").title
    coming = volunteer.get(f"{SITE}/sessions/").content.decode()
    assert f'href="{S05}/"' in coming

    signed_up = volunteer.post(f"{S05}/sign-up/", {"people": [id_of("P06")]}, follow=True)
    assert "Signed up: Søren." in signed_up.content.decode()
    assert state_of("P06") == SignUp.State.CONFIRMED
    assert title in volunteer.get(f"{SITE}/my-sessions/").content.decode()

    event = vobject.readOne(volunteer.get(f"{S05}/session.ics").content.decode()).vevent
    # fixtures/sessions.csv: 17 April 2027, 09:30 in Amsterdam, summer time.
    assert event.dtstart.value == datetime(2027, 4, 17, 9, 30, tzinfo=ZoneInfo("Europe/Amsterdam"))
    assert "attendee" not in event.contents

    left = volunteer.post(f"{S05}/withdraw/", {"people": [id_of("P06")]}, follow=True)
    assert "Withdrawn: Søren" in left.content.decode()
    assert state_of("P06") == SignUp.State.WITHDRAWN
    assert title not in volunteer.get(f"{SITE}/my-sessions/").content.decode()


def test_pressing_twice_is_once(volunteer: Client) -> None:
    for _ in range(2):
        answer = volunteer.post(f"{S05}/sign-up/", {"people": [id_of("P06")]}, follow=True)
        assert answer.status_code == HTTPStatus.OK
        assert "Not signed up" not in answer.content.decode()

    assert SignUp.objects.filter(session__code="S05", person__code="P06").count() == 1


def test_a_child_without_a_guardian_there_is_refused_with_rule_source_and_remedy(
    guardian: Client,
) -> None:
    text = guardian.post(f"{S05}/sign-up/", {"people": [id_of("P53")]}).content.decode()

    assert "Not signed up" in text
    assert f'href="{SITE}/rule-book/#GUA-1"' in text
    assert "Source: " in text
    assert "What would clear it:" in text
    assert state_of("P53") is None
    rule_book = guardian.get(f"{SITE}/rule-book/").content.decode()
    assert 'id="GUA-1"' in rule_book


def test_a_child_without_consent_waits_until_the_form_is_there(guardian: Client) -> None:
    form = ConsentRecord.objects.get(person__code="P53")
    form.delete()
    both = {"people": [id_of("P02"), id_of("P53")]}

    waits = guardian.post(f"{S05}/sign-up/", both, follow=True).content.decode()

    assert "Waiting, place 1" in waits
    assert "consent" in waits.lower()
    assert (state_of("P02"), state_of("P53")) == (SignUp.State.WAITING,) * 2

    form.save()
    guardian.post(f"{S05}/sign-up/", {"people": [id_of("P02"), id_of("P53")]})
    assert (state_of("P02"), state_of("P53")) == (SignUp.State.CONFIRMED,) * 2


def test_nobody_signs_up_somebody_elses_child(volunteer: Client) -> None:
    before = list(SignUp.objects.order_by("pk").values())

    text = volunteer.post(
        f"{S05}/sign-up/", {"people": [id_of("P06"), id_of("P53")]}
    ).content.decode()

    assert "Somebody was ticked whom you do not answer for." in text
    assert list(SignUp.objects.order_by("pk").values()) == before


def test_nobody_withdraws_somebody_else(volunteer: Client) -> None:
    volunteer.post(f"{S05}/withdraw/", {"people": [id_of("P11")]}, follow=True)

    assert state_of("P11") == SignUp.State.CONFIRMED
