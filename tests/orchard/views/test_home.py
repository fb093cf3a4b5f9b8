"""A site's bare address leads each role to the page it begins with, and strangers nowhere."""

import pytest

from orchard.models import Site, User
from orchard.services.roles import grant_role
from tests.signed_in import COORDINATOR, GUARDIAN, LIAISON, NOW, SITE, STRANGER, SignIn


@pytest.mark.parametrize(
    ("who", "where"),
    [
        (COORDINATOR, "/seasons/"),
        (GUARDIAN, "/sessions/"),
        (LIAISON, "/classes/"),
    ],
)
def test_the_bare_address_leads_to_where_a_role_begins(
    sign_in: SignIn, who: str, where: str
) -> None:
    answer = sign_in(who).get(f"{SITE}/")

    assert answer.headers["Location"] == f"{SITE}{where}"


def test_a_reader_begins_with_the_totals(sign_in: SignIn) -> None:
    funder = User.objects.create_user("funder@example.org")
    grant_role(user_id=funder.pk, site_id=Site.objects.get(slug=SITE[1:]).pk, kind="reader", at=NOW)

    assert sign_in(funder.email).get(f"{SITE}/").headers["Location"] == f"{SITE}/totals/"


def test_another_site_is_not_found(sign_in: SignIn) -> None:
    assert sign_in(STRANGER).get(f"{SITE}/").status_code == 404
