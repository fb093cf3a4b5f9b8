"""Roles: given by address, ended at once, kept in the history, never the last coordinator's."""

from html import unescape

import pytest
from django.test import Client

from orchard.models import Role, Site, User
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    S02,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

ROLES = f"{SITE}/roles/"
NEW = "new.lead@example.org"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def give(client: Client, email: str, kind: str) -> str:
    answer = client.post(ROLES, {"email": email, "kind": kind}, follow=True)
    return unescape(answer.content.decode())


def end(client: Client, email: str, kind: str) -> str:
    role = Role.objects.filter(user__email=email, kind=kind, site__slug=SITE[1:]).latest("pk")
    answer = client.post(f"{ROLES}end/", {"role": role.pk}, follow=True)
    return unescape(answer.content.decode())


def test_a_role_is_given_by_address_and_the_account_made(client: Client) -> None:
    page = give(client, NEW, "session lead")

    role = Role.objects.get(user__email=NEW)
    assert f"{NEW} is session lead from now on" in page
    assert role.granted_by == COORDINATOR
    assert role.ended_at is None
    assert not User.objects.get(email=NEW).has_usable_password()


def test_an_ended_role_is_refused_at_the_next_request(client: Client, sign_in: SignIn) -> None:
    """ASVS 5.0, 8.3.2: changes to permissions take effect at once, in open sessions too."""
    lead = sign_in(LEAD)
    assert lead.get(f"{S02}/roster/").status_code == 200

    page = end(client, LEAD, "session lead")

    assert lead.get(f"{S02}/roster/").status_code == 404
    assert f"The role of {LEAD} is ended" in page
    ended = Role.objects.get(user__email=LEAD, kind="session lead")
    assert (ended.ended_by, ended.ended_at is not None) == (COORDINATOR, True)
    assert f"by {COORDINATOR}" in page.partition("Roles held before")[2]


def test_an_ended_role_is_given_again_and_both_stay_to_be_read(client: Client) -> None:
    end(client, LEAD, "session lead")
    give(client, LEAD.upper(), "session lead")

    held = Role.objects.filter(user__email=LEAD, kind="session lead")
    assert [role.ended_at is None for role in held.order_by("pk")] == [False, True]


def test_the_last_coordinator_stays(client: Client) -> None:
    page = end(client, COORDINATOR, "coordinator")

    assert "is the only coordinator" in page
    assert "Make somebody else coordinator first" in page
    assert Role.objects.get(user__email=COORDINATOR, kind="coordinator").ended_at is None


def test_a_coordinator_who_cannot_sign_in_does_not_count(client: Client) -> None:
    give(client, NEW, "coordinator")
    User.objects.filter(email=NEW).update(is_active=False)

    assert "is the only coordinator" in end(client, COORDINATOR, "coordinator")


def test_with_a_second_coordinator_one_may_go(client: Client) -> None:
    give(client, NEW, "coordinator")

    end(client, COORDINATOR, "coordinator")

    assert client.get(ROLES).status_code == 404


@pytest.mark.parametrize(
    ("email", "kind", "says"),
    [
        ("not an address", "reader", "valid email"),
        ("", "reader", "required"),
        (NEW, "", "required"),
        (NEW, "owner", "not one of the available choices"),
        (LEAD, "session lead", "is session lead here already"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(
    client: Client, email: str, kind: str, says: str
) -> None:
    before = Role.objects.count(), User.objects.count()

    assert says in give(client, email, kind)
    assert (Role.objects.count(), User.objects.count()) == before


def test_a_closed_account_gets_no_role(client: Client) -> None:
    User.objects.create_user(NEW, is_active=False)

    assert f"The account of {NEW} is closed" in give(client, NEW, "reader")
    assert not Role.objects.filter(user__email=NEW).exists()


@pytest.mark.parametrize("role", ["", "0", "-1", "nine", "9" * 30, "²"])
def test_ending_what_is_not_held_changes_nothing(client: Client, role: str) -> None:
    page = client.post(f"{ROLES}end/", {"role": role}, follow=True).content.decode()

    assert "Nothing was changed" in page


def test_ending_twice_is_told(client: Client) -> None:
    end(client, LEAD, "session lead")

    assert "was ended before" in end(client, LEAD, "session lead")


def test_a_role_of_another_site_is_not_ended_from_here(client: Client) -> None:
    other = Role.objects.get(user__email=STRANGER, kind="coordinator")

    client.post(f"{ROLES}end/", {"role": other.pk})

    other.refresh_from_db()
    assert other.ended_at is None
    assert other.site == Site.objects.get(slug="elsewhere")


@pytest.mark.parametrize("who", [LEAD, VOLUNTEER, GUARDIAN, LIAISON, STRANGER])
def test_nobody_else_gives_roles(sign_in: SignIn, who: str) -> None:
    other = sign_in(who)

    assert other.get(ROLES).status_code == 404
    assert other.post(ROLES, {"email": who, "kind": "coordinator"}).status_code == 404
    assert not Role.objects.filter(
        user__email=who, kind="coordinator", site__slug=SITE[1:]
    ).exists()


def test_no_field_beyond_the_forms_own_is_read(client: Client) -> None:
    """ASVS 5.0, 15.3.3: no mass assignment."""
    client.post(ROLES, {"email": NEW, "kind": "reader", "is_superuser": "1", "granted_by": "x"})

    account = User.objects.get(email=NEW)
    assert not account.is_superuser
    assert Role.objects.get(user=account).granted_by == COORDINATOR


def test_an_erased_account_stands_in_no_history(client: Client) -> None:
    from orchard.services.accounts import erase_account

    give(client, NEW, "reader")
    end(client, NEW, "reader")
    erase_account(User.objects.get(email=NEW).pk)
    give(client, LEAD, "reader")
    erase_account(User.objects.get(email=COORDINATOR).pk)

    assert not Role.objects.filter(user__email=NEW).exists()
    assert Role.objects.get(user__email=LEAD, kind="reader").granted_by == "an erased account"
