"""The age from which a site lets young people have an account: seen first, with its reason kept."""

from html import unescape

import pytest
from django.test import Client

from orchard.models import Role, Site, SiteChange, User
from scheduling.domain.errors import PersonRefused
from scheduling.models import Message, PeopleRules, Person
from scheduling.queries.people_rules import get_own_account_age, preview_account_age
from scheduling.services.people import give_account
from scheduling.services.people_rules import set_own_account_age
from tests.signed_in import COORDINATOR, GUARDIAN, NOW, SITE, SignIn

RULES = f"{SITE}/people/rules/"
MINH = "P41"  # fixtures/people.csv: 15 on 1 February 2027, of the guardian
TODAY = NOW.date()


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def site_id() -> int:
    return Site.objects.get(slug=SITE[1:]).pk


def read(answer) -> str:
    return unescape(answer.content.decode())


def decide(client: Client, age: int, because: str = "The board decided it.") -> str:
    return read(client.post(RULES, {"age": age, "because": because}, follow=True))


def give_minh_one() -> User:
    minh = Person.objects.get(code=MINH)
    give_account(person_id=minh.pk, site_id=site_id(), email="minh@example.org", on=TODAY, at=NOW)
    return User.objects.get(email="minh@example.org")


def test_without_a_decision_own_accounts_are_for_adults(client: Client) -> None:
    assert get_own_account_age(site_id()) == 18
    assert "for adults only" in read(client.get(RULES))
    with pytest.raises(PersonRefused, match="under 18"):
        give_minh_one()


def test_looking_names_who_could_have_one_and_decides_nothing(client: Client) -> None:
    page = read(client.get(RULES, {"age": 15}))

    assert "What 15 years instead of 18 would change" in page
    assert "Minh" in page
    assert "Lan" not in page  # 9 years old
    assert not PeopleRules.objects.exists()
    nobody = preview_account_age(site_id(), 18, on=TODAY)
    assert (nobody.is_change, nobody.may_have_one, nobody.lose_theirs) == (False, (), ())


def test_a_decision_is_kept_with_its_reason_and_who_made_it(client: Client) -> None:
    page = decide(client, 15)

    change = SiteChange.objects.get(about="people")
    assert change.sentence == (
        "Own accounts from 18 become from 15, because: The board decided it."
    )
    assert change.by is not None
    assert change.by.email == COORDINATOR
    assert change.sentence in page
    assert give_minh_one().is_active
    decide(client, 15)
    assert SiteChange.objects.filter(about="people").count() == 1


def test_a_higher_age_ends_accounts_and_tells_the_guardian(client: Client, sign_in: SignIn) -> None:
    decide(client, 15)
    account = give_minh_one()
    own = sign_in("minh@example.org")
    assert own.get(f"{SITE}/my-sessions/").status_code == 200
    seen = read(client.get(RULES, {"age": 16}))
    assert "would be too young for it" in seen
    assert own.get(f"{SITE}/my-sessions/").status_code == 200

    decide(client, 16)

    assert own.get(f"{SITE}/my-sessions/").status_code == 404
    assert Person.objects.get(code=MINH).user is None
    assert not Role.objects.filter(user=account, ended_at__isnull=True).exists()
    letter = Message.objects.get(to=GUARDIAN, subject__contains="no account of their own")
    assert "You sign them up" in letter.text
    assert not Message.objects.filter(to="minh@example.org").exists()
    assert "Accounts ended: 1." in SiteChange.objects.filter(about="people").first().sentence


@pytest.mark.parametrize(
    ("age", "because", "told"),
    [
        (12, "Law.", "greater than or equal to 13"),
        (19, "Law.", "less than or equal to 18"),
        (16, " ", "Why: This field is required."),
    ],
)
def test_what_cannot_be_is_said_and_nothing_kept(
    client: Client, age: int, because: str, told: str
) -> None:
    assert told in decide(client, age, because)
    assert not PeopleRules.objects.exists()


@pytest.mark.parametrize(("age", "because"), [(12, "Law."), (19, "Law."), (16, " ")])
def test_the_service_refuses_the_same(client: Client, age: int, because: str) -> None:
    with pytest.raises(PersonRefused):
        set_own_account_age(site_id=site_id(), age=age, because=because, by=1, on=TODAY, at=NOW)
