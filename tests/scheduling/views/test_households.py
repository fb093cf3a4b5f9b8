"""A guardian of several: adds, signs, withdraws, keeps contact and note; nobody else's child."""

import re
from datetime import timedelta
from html import unescape

import pytest
from django.test import Client

from orchard.domain.task_graph import WORKING_ORDER
from orchard.models import Plan, Site
from orchard.queries.work_kinds import load_work_kinds
from scheduling.models import ConsentRecord, DayContact, FirstAidNote, Person, Session, SignUp
from scheduling.services.consents import record_paper_consent
from scheduling.services.households import MOST_CHARGES
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

PEOPLE = f"{SITE}/my-people/"
TODAY = NOW.date()


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(GUARDIAN)


def read(client: Client, address: str = PEOPLE) -> str:
    return unescape(client.get(address).content.decode())


def add(client: Client, name: str = "Mio", month: int = 5, year: int = 2015, **more: str):
    data = {"first_name": name, "birth_month": month, "birth_year": year, **more}
    return client.post(PEOPLE, data, follow=True)


def charge(name: str = "Mio") -> Person:
    return Person.objects.get(first_name=name, guardian__user__email=GUARDIAN)


def sign(client: Client, person: Person, **more: str):
    data = {
        "what": "consent",
        "consent-version": Site.objects.get(slug="traverser-yard").consent_version,
        "consent-agreed": "on",
        "consent-last_day": str(TODAY + timedelta(days=300)),
        **more,
    }
    return client.post(f"{PEOPLE}{person.pk}/", data, follow=True)


def test_a_young_person_is_added_once_and_needs_a_consent(client: Client) -> None:
    first = unescape(add(client).content.decode())
    again = unescape(add(client).content.decode())

    person = charge()
    assert "Sign the consent next" in first
    assert "on your list already" in again
    assert (person.family_name, person.user) == ("", None)
    assert "without a consent they cannot come" in first
    assert "missing" in read(client)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"year": 2001}, "is 18 or older"),
        ({"year": 2030}, "lies ahead"),
        ({"name": "   "}, "required"),
        ({"month": 13}, "valid choice"),
        ({"year": "x"}, "whole number"),
    ],
)
def test_what_is_no_young_person_is_refused_in_a_sentence(
    client: Client, given: dict[str, object], says: str
) -> None:
    before = Person.objects.count()

    page = unescape(add(client, **given).content.decode())

    assert says in page
    assert Person.objects.count() == before


def test_more_than_a_household_is_pointed_to_a_class(client: Client) -> None:
    held = Person.objects.filter(guardian__user__email=GUARDIAN, active=True).count()
    for number in range(MOST_CHARGES - held):
        add(client, f"Child{number}")

    assert "comes as a class" in unescape(add(client, "Onemore").content.decode())


def test_signing_makes_the_consent_hold_and_photographs_stay_off(client: Client) -> None:
    add(client)

    page = unescape(sign(client, charge()).content.decode())
    sign(client, charge())

    (consent,) = ConsentRecord.objects.filter(person=charge())
    assert "a consent holds today" in page
    assert consent.signed_by.user.email == GUARDIAN
    assert consent.photographs is False
    assert (consent.first_day, consent.last_day) == (TODAY, TODAY + timedelta(days=300))


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"consent-agreed": ""}, "Tick that you agree"),
        ({"consent-last_day": str(TODAY + timedelta(days=400))}, "a year at most"),
        ({"consent-last_day": str(TODAY - timedelta(days=1))}, "must lie between"),
        ({"consent-version": "0"}, "Read it again"),
    ],
)
def test_a_signature_that_does_not_hold_is_refused(
    client: Client, more: dict[str, str], says: str
) -> None:
    add(client)

    page = unescape(sign(client, charge(), **more).content.decode())

    assert says in page
    assert not ConsentRecord.objects.filter(person=charge()).exists()


def test_signing_lets_whoever_waited_for_it_be_offered_a_space(client: Client) -> None:
    add(client, year=2012)
    session = Session.objects.get(code="S02")
    guardian = Person.objects.get(user__email=GUARDIAN)
    SignUp.objects.update_or_create(
        session=session, person=guardian, defaults={"state": "confirmed", "at": NOW}
    )
    address = f"{SITE}/seasons/2027/sessions/S02/sign-up/"
    page = client.post(address, {"people": [charge().pk]}, follow=True)
    assert "Waiting, place 1" in unescape(page.content.decode())

    sign(client, charge())

    assert SignUp.objects.get(session=session, person=charge()).state == "offered"
    offered = read(client, f"{SITE}/seasons/2027/sessions/S02/")
    assert "A space is free" in offered
    taken = client.post(f"{SITE}/seasons/2027/sessions/S02/offer/", {"answer": "take"}, follow=True)
    assert "Signed up: Mio" in unescape(taken.content.decode())


def test_withdrawing_ends_it_today_and_keeps_the_sign_up(client: Client) -> None:
    add(client)
    sign(client, charge())

    client.post(f"{PEOPLE}{charge().pk}/withdraw/")

    assert ConsentRecord.objects.get(person=charge()).withdrawn_on == TODAY
    assert "cannot come" in read(client, f"{PEOPLE}{charge().pk}/")


def test_a_form_on_paper_is_recorded_with_who_saw_it(client: Client) -> None:
    add(client)
    record_paper_consent(
        site_id=charge().site_id,
        person_id=charge().pk,
        seen_by="Ada",
        photographs=True,
        first_day=TODAY,
        last_day=TODAY + timedelta(days=30),
        at=NOW,
    )

    assert "on paper; photographs allowed" in read(client, f"{PEOPLE}{charge().pk}/")


def keep(client: Client, what: str, **fields: object):
    data = {"what": what} | {f"{what}-{name}": value for name, value in fields.items()}
    return client.post(f"{PEOPLE}{charge().pk}/", data, follow=True)


def test_contact_note_and_wishes_are_kept_each_by_its_own_form(client: Client) -> None:
    add(client)
    keep(client, "contact", name="Ana", telephone="+31 555 0143")
    keep(client, "note", text="Wasp stings: pen in the red bag")
    keep(client, "wishes", restrictions=["no kneeling"], likes_weed="2", likes_core="-2")

    person = charge()
    assert DayContact.objects.get(person=person).telephone == "+31 555 0143"
    assert FirstAidNote.objects.get(person=person).keep_until == TODAY + timedelta(days=7)
    assert person.restrictions == ["no kneeling"]
    assert person.preferences == {"core": -2, "weed": 2}
    keep(client, "contact", name="", telephone="")
    keep(client, "note", text="")
    assert not DayContact.objects.exists()
    assert not FirstAidNote.objects.exists()


def asked_kinds(page: str) -> list[str]:
    return re.findall(r'name="wishes-likes_(\w+)"', page)


def test_only_the_kinds_of_work_the_site_has_are_asked_about(client: Client) -> None:
    add(client)
    path = f"{PEOPLE}{charge().pk}/"
    kinds = load_work_kinds(charge().site_id)

    asked = asked_kinds(read(client, path))

    assert asked == list(kinds)
    assert len(asked) < len(WORKING_ORDER)
    # What somebody said of other work before is shown too, or keeping the form would drop it.
    other = next(kind for kind in WORKING_ORDER if kind not in kinds)
    Person.objects.filter(pk=charge().pk).update(preferences={other: -1})
    assert set(asked_kinds(read(client, path))) == {*kinds, other}


def test_a_site_without_work_yet_asks_about_every_kind(client: Client) -> None:
    add(client)
    Plan.objects.all().delete()

    assert asked_kinds(read(client, f"{PEOPLE}{charge().pk}/")) == list(WORKING_ORDER)


def test_a_liking_from_a_file_is_shown_as_it_is_and_kept(client: Client) -> None:
    """Files may say -1 and 1; a form without these would turn them into its first choice."""
    add(client)
    Person.objects.filter(pk=charge().pk).update(preferences={"weed": 1, "core": -1})

    page = read(client, f"{PEOPLE}{charge().pk}/")

    select = r'name="wishes-likes_(\w+)".*?<option value="(-?\d)"\s+selected'
    chosen = re.findall(select, page, re.DOTALL)
    assert dict(chosen)["weed"] == "1"
    assert dict(chosen)["core"] == "-1"
    keep(client, "wishes", likes_weed="1", likes_core="-1")
    assert charge().preferences == {"weed": 1, "core": -1}


@pytest.mark.parametrize(
    ("what", "fields", "says"),
    [
        ("contact", {"name": "Ana", "telephone": "soon"}, "needs a name and a telephone number"),
        ("contact", {"name": "", "telephone": "555 0143"}, "needs a name and a telephone number"),
        ("note", {"text": "x" * 301}, "at most 300"),
        ("wishes", {"likes_weed": "7"}, "valid choice"),
        ("wishes", {"restrictions": ["no work"]}, "valid choice"),
    ],
)
def test_what_cannot_be_kept_is_said_and_nothing_is_lost(
    client: Client, what: str, fields: dict[str, object], says: str
) -> None:
    add(client)

    page = unescape(keep(client, what, **fields).content.decode())

    assert says in page
    assert not DayContact.objects.exists()
    assert charge().preferences == {}


def test_a_child_is_taken_off_the_list_only_when_signed_up_for_nothing(client: Client) -> None:
    add(client)
    session = Session.objects.get(code="S02")
    row = SignUp.objects.create(session=session, person=charge(), state="confirmed", at=NOW)
    refused = client.post(f"{PEOPLE}{charge().pk}/remove/", follow=True)
    assert "Withdraw them first" in unescape(refused.content.decode())

    row.delete()
    client.post(f"{PEOPLE}{charge().pk}/remove/")

    assert charge().active is False
    assert "Mio</a>" not in read(client)


@pytest.mark.parametrize("who", [VOLUNTEER, LIAISON, COORDINATOR, STRANGER])
def test_nobody_else_reaches_a_guardians_child(client: Client, sign_in: SignIn, who: str) -> None:
    add(client)
    address = f"{PEOPLE}{charge().pk}/"
    other = sign_in(who)

    for path in (address, f"{address}withdraw/", f"{address}remove/"):
        assert other.post(path, {"what": "note", "note-text": "x"}).status_code == 404
    assert other.get(address).status_code == 404
    assert not FirstAidNote.objects.exists()


def test_names_of_any_kind_survive(client: Client) -> None:
    for name in ("=SUM(A1)", "O’Neill-D'Arcy", "نور", "👩‍🌾 Zoë", "N" * 300):
        add(client, name)
        assert name in read(client)
