"""What answers tell browsers: kept by nobody, framed by nobody, sniffed by nobody (ASVS 5.0)."""

import pytest
from django.test import Client

from scheduling.models import Person
from tests.signed_in import COORDINATOR, GUARDIAN, S02, SITE, SignIn

PERSONAL = [
    (COORDINATOR, f"{S02}/roster/"),
    (COORDINATOR, f"{S02}/day-now/"),
    (COORDINATOR, f"{SITE}/people/"),
    (COORDINATOR, f"{SITE}/mail/"),
    (COORDINATOR, f"{SITE}/roles/"),
    (GUARDIAN, f"{SITE}/my-people/"),
    (GUARDIAN, f"{SITE}/my-sessions/"),
    (GUARDIAN, f"{S02}/session.ics"),
    (GUARDIAN, "/"),
    (GUARDIAN, "/account/second-factor/"),
]


@pytest.mark.parametrize(("who", "address"), PERSONAL)
def test_pages_about_people_are_kept_by_nobody(sign_in: SignIn, who: str, address: str) -> None:
    """14.3.2: `Cache-Control: no-store` on what is sensitive."""
    assert "no-store" in sign_in(who).get(address).headers["Cache-Control"]


def test_pages_of_one_person_are_kept_by_nobody(sign_in: SignIn) -> None:
    own = Person.objects.get(user__email=GUARDIAN)
    guardian, coordinator = sign_in(GUARDIAN), sign_in(COORDINATOR)
    answers = [
        guardian.get(f"{SITE}/my-people/{own.pk}/"),
        guardian.get(f"{SITE}/my-people/{own.pk}/held.json"),
        coordinator.get(f"{SITE}/people/{own.pk}/"),
    ]

    assert [answer.status_code for answer in answers] == [200] * 3
    assert {answer.headers["Cache-Control"] for answer in answers} == {"no-store"}


@pytest.mark.usefixtures("sign_in")
@pytest.mark.parametrize(
    "address", ["/", "/nothing-there", f"{SITE}/people/", "/account/login/code/", "/admin/login/"]
)
def test_every_answer_has_the_headers_also_where_nothing_is_found(address: str) -> None:
    """3.4.3 to 3.4.6 and 3.4.8: content policy, no sniffing, referrer, frames, opener."""
    headers = Client().get(address).headers

    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    policy = headers["Content-Security-Policy"]
    for directive in ("object-src 'none'", "base-uri 'none'", "frame-ancestors 'none'"):
        assert directive in policy
    assert "script-src 'self';" in f"{policy};"
    assert "unsafe" not in policy
