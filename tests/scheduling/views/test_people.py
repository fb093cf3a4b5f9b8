"""The coordinator's pages of people: add, sign off, record a check, give an account, take off."""

from datetime import timedelta
from html import unescape

import pytest
from django.test import Client

from orchard.models import Role, User
from scheduling.models import CheckRecord, ConsentRecord, Person, SkillRecord
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    NOW,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

PEOPLE = f"{SITE}/people/"
TODAY = NOW.date()


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(client: Client, address: str = PEOPLE) -> str:
    return unescape(client.get(address).content.decode())


def add(client: Client, **more: object) -> str:
    data = {
        "first_name": "Ottilie", "family_name": "Brandt", "birth_month": 3, "birth_year": 1980,
        **more,
    }  # fmt: skip
    return unescape(client.post(f"{PEOPLE}add/", data, follow=True).content.decode())


def somebody() -> Person:
    return Person.objects.get(first_name="Ottilie")


def post(client: Client, person: Person, what: str, **fields: object) -> str:
    data = {"what": what} | {f"{what}-{name}": value for name, value in fields.items()}
    page = client.post(f"{PEOPLE}{person.pk}/", data, follow=True)
    return unescape(page.content.decode())


def test_somebody_without_mail_is_added_by_hand(client: Client) -> None:
    page = add(client)

    assert "Ottilie is added" in page
    assert "print their papers" in page
    assert somebody().user is None


def test_with_an_address_they_can_sign_in_and_sign_up(client: Client) -> None:
    add(client, email="ottilie@example.org")

    kinds = set(
        Role.objects.filter(user__email="ottilie@example.org").values_list("kind", flat=True)
    )
    assert kinds == {"volunteer", "guardian"}
    assert somebody().user.email == "ottilie@example.org"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"birth_year": 2015}, "added by their guardian"),
        ({"birth_year": 1899}, "greater than or equal to 1900"),
        ({"first_name": ""}, "required"),
        ({"email": "not an address"}, "valid email"),
        ({"email": VOLUNTEER}, "somebody else's account"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    client: Client, more: dict[str, object], says: str
) -> None:
    assert says in add(client, **more)


def test_a_skill_is_signed_off_by_name_and_ended(client: Client) -> None:
    add(client)

    post(client, somebody(), "skill", skill="Hand Auger", last_day=TODAY + timedelta(days=90))
    post(client, somebody(), "skill", skill="Hand Auger", last_day=TODAY + timedelta(days=90))

    (held,) = SkillRecord.objects.filter(person=somebody())
    assert held.skill == "hand_auger"
    assert held.signed_off_by
    client.post(f"{PEOPLE}{somebody().pk}/skill/", {"skill": "hand_auger"})
    assert not SkillRecord.objects.filter(person=somebody()).exists()


def test_a_sign_off_for_the_past_or_for_ever_is_refused(client: Client) -> None:
    add(client)

    for days in (-1, 5 * 366 + 1):
        page = post(client, somebody(), "skill", skill="lead", last_day=TODAY + timedelta(days))
        assert "give one from today" in page
    assert not SkillRecord.objects.filter(person=somebody()).exists()


def test_a_check_is_recorded_by_scheme_and_days_and_counts(client: Client) -> None:
    add(client)

    page = post(
        client, somebody(), "check",
        scheme="Enhanced", issued_on=TODAY, last_day=TODAY + timedelta(days=365),
    )  # fmt: skip

    (check,) = CheckRecord.objects.filter(person=somebody())
    assert "in date" in page
    assert check.seen_by
    wrong = post(
        client, somebody(), "check",
        scheme="Later", issued_on=TODAY + timedelta(days=1), last_day=TODAY + timedelta(days=9),
    )  # fmt: skip
    assert "Look at the days again" in wrong


def test_young_people_get_a_paper_consent_and_no_check(client: Client) -> None:
    child = Person.objects.get(code="P53")
    ConsentRecord.objects.filter(person=child).delete()
    assert "Background check</h2>" not in read(client, f"{PEOPLE}{child.pk}/")

    post(client, child, "paper", first_day=TODAY, last_day=TODAY + timedelta(days=30))

    (consent,) = ConsentRecord.objects.filter(person=child)
    assert consent.on_paper_seen_by
    assert client.post(f"{PEOPLE}{child.pk}/", {"what": "check"}).status_code == 404


def test_a_young_person_gets_no_account_of_their_own(client: Client) -> None:
    child = Person.objects.get(code="P53")

    page = post(client, child, "account", email="lan@example.org")

    assert "guardian's account answers" in page
    assert not User.objects.filter(email="lan@example.org").exists()


def test_who_is_signed_up_is_not_taken_off_the_list(client: Client) -> None:
    person = (
        Person.objects.filter(signups__state="confirmed", signups__session__starts_at__gt=NOW)
        .order_by("pk")
        .first()
    )

    page = client.post(f"{PEOPLE}{person.pk}/listing/", {"what": "off"}, follow=True)

    assert "signed up for what is to come" in unescape(page.content.decode())
    person.refresh_from_db()
    assert person.active


def test_off_the_list_and_on_again_and_erased_only_when_sure(client: Client) -> None:
    add(client)
    listing = f"{PEOPLE}{somebody().pk}/listing/"

    client.post(listing, {"what": "off"})
    assert not somebody().active
    client.post(listing, {"what": "on"})
    assert somebody().active
    client.post(listing, {"what": "erase"})
    assert somebody().active
    client.post(listing, {"what": "erase", "sure": "1"})
    assert not Person.objects.filter(first_name="Ottilie").exists()
    assert client.post(listing, {"what": "nonsense"}).status_code == 404


def test_people_are_found_by_part_of_a_name(client: Client) -> None:
    add(client)

    assert "Ottilie" in read(client, f"{PEOPLE}?words=tilie+bran")
    assert "Nobody by that name" in read(client, f"{PEOPLE}?words=zzz")


@pytest.mark.parametrize("who", [VOLUNTEER, GUARDIAN, LIAISON, LEAD, STRANGER])
def test_only_the_coordinator_sees_people(sign_in: SignIn, who: str) -> None:
    other = sign_in(who)
    person = Person.objects.order_by("pk").first()

    for path in ("", "add/", f"{person.pk}/"):
        assert other.get(f"{PEOPLE}{path}").status_code == 404
    assert other.post(f"{PEOPLE}{person.pk}/listing/", {"what": "off"}).status_code == 404


def test_a_person_of_another_site_is_not_found(sign_in: SignIn) -> None:
    person = Person.objects.order_by("pk").first()

    assert sign_in(STRANGER).get(f"/elsewhere/people/{person.pk}/").status_code == 404
