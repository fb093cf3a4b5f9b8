"""Passkeys, app codes and spare codes in a real browser, with the authenticator it can play.

Chromium's virtual authenticator is driven over its own protocol (WebAuthn domain of the
DevTools protocol); WebAuthn itself works on localhost alone without HTTPS.
"""

import re
import time
from collections.abc import Iterator
from typing import Any

import pytest
from allauth.mfa.models import Authenticator
from django.core import mail
from playwright.sync_api import Browser, Page, expect
from pytest_django import Settings

from tests.browser.looks import look_at
from tests.orchard.views.test_second_factor import reckon_code
from tests.signed_in import COORDINATOR, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FACTOR = "/account/second-factor/"
PEOPLE = f"{SITE}/people/"
PASSKEY = {
    "protocol": "ctap2",
    "transport": "internal",
    "hasResidentKey": True,
    "hasUserVerification": True,
    "isUserVerified": True,
    "automaticPresenceSimulation": True,
}


@pytest.fixture(autouse=True)
def a_public_server(site: str, settings: Settings) -> None:
    """Ask coordinators for a second factor, as with HTTPS."""
    settings.SECOND_FACTOR_REQUIRED = True


@pytest.fixture
def keyring(watched: Page) -> Iterator[Any]:
    """A device that keeps passkeys and says yes; hands out the protocol and its id."""
    protocol = watched.context.new_cdp_session(watched)
    protocol.send("WebAuthn.enable")
    made = protocol.send("WebAuthn.addVirtualAuthenticator", {"options": PASSKEY})
    yield protocol, made["authenticatorId"]
    protocol.detach()


def enter_mailed_code(page: Page, site: str, email: str = COORDINATOR) -> None:
    """Come as far as the mailed code leads: to the second factor, where there is one."""
    page.goto(f"{site}/account/login/code/")
    page.get_by_label("Email").fill(email)
    page.get_by_role("button", name="Send me a code").click()
    page.get_by_role("heading", name="Enter your code").wait_for()
    code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
    assert code is not None
    page.get_by_label("Code").fill(code[1])
    page.get_by_role("button", name="Sign in").click()


def sign_out(page: Page) -> None:
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("button", name="Sign out")).to_have_count(0)


def test_a_passkey_is_added_signs_in_and_is_ended(watched: Page, site: str, keyring: Any) -> None:
    protocol, number = keyring
    enter_mailed_code(watched, site)
    watched.goto(site + PEOPLE)
    expect(watched.get_by_text("Set one up; then go on.")).to_be_visible()
    faults = look_at(watched)
    watched.get_by_role("link", name="Add a passkey").click()
    expect(watched.get_by_role("heading", name="Add a passkey")).to_be_visible()
    faults += look_at(watched)
    watched.get_by_label("Name").fill("Ada’s phone 📱")
    watched.get_by_role("button", name="Add it").click()
    expect(watched.get_by_role("heading", name="Spare codes")).to_be_visible()
    faults += look_at(watched)
    kept = protocol.send("WebAuthn.getCredentials", {"authenticatorId": number})["credentials"]
    assert len(kept) == 1
    assert kept[0]["rpId"] == "localhost"
    watched.goto(f"{site}{FACTOR}passkeys/")
    expect(watched.get_by_text("Ada’s phone 📱, added")).to_be_visible()
    faults += look_at(watched)
    watched.goto(site + PEOPLE)
    expect(watched.get_by_role("heading", name="People", exact=True)).to_be_visible()
    sign_out(watched)

    enter_mailed_code(watched, site)
    expect(watched.get_by_role("heading", name="Second factor")).to_be_visible()
    faults += look_at(watched)
    watched.get_by_role("button", name="Use a passkey").click()
    watched.get_by_role("button", name="Sign out").wait_for()
    watched.goto(site + PEOPLE)
    expect(watched.get_by_role("heading", name="People", exact=True)).to_be_visible()

    watched.goto(f"{site}{FACTOR}passkeys/")
    watched.get_by_role("link", name="End it").click()
    expect(watched.get_by_role("heading", name="Is it you?")).to_be_visible()
    faults += look_at(watched)
    watched.get_by_role("link", name="Use a code of the app or a spare code").click()
    expect(watched.get_by_label("Code")).to_be_visible()
    faults += look_at(watched)
    watched.get_by_role("link", name="Use a passkey").click()
    watched.get_by_role("button", name="Use a passkey").click()
    expect(watched.get_by_role("heading", name="End this passkey?")).to_be_visible()
    faults += look_at(watched)
    watched.get_by_role("button", name="End it").click()
    expect(watched.get_by_text("None yet.")).to_be_visible()
    assert not Authenticator.objects.filter(type=Authenticator.Type.WEBAUTHN).exists()
    watched.goto(site + PEOPLE)
    expect(watched.get_by_text("Set one up; then go on.")).to_be_visible()
    assert faults == []


def test_a_device_that_does_not_know_the_person_signs_nobody_in(
    watched: Page, site: str, keyring: Any
) -> None:
    """The browser tells only the page; the page says what to do (WebAuthn Level 2, 5.1.4.2)."""
    protocol, number = keyring
    enter_mailed_code(watched, site)
    watched.goto(f"{site}{FACTOR}passkeys/add/")
    watched.get_by_role("button", name="Add it").click()
    expect(watched.get_by_role("heading", name="Spare codes")).to_be_visible()
    spare = watched.locator("main li code").first.inner_text()
    sign_out(watched)
    protocol.send("WebAuthn.clearCredentials", {"authenticatorId": number})
    protocol.send("WebAuthn.setUserVerified", {"authenticatorId": number, "isUserVerified": False})

    enter_mailed_code(watched, site)
    watched.get_by_role("button", name="Use a passkey").click()
    expect(watched.get_by_role("alert")).to_contain_text("The passkey was not used")
    watched.goto(site + PEOPLE)
    expect(watched.get_by_role("heading", name="Second factor")).to_be_visible()
    expect(watched.get_by_role("button", name="Sign out")).to_have_count(0)

    watched.get_by_label("Code").fill(spare)
    watched.get_by_role("button", name="Sign in").click()
    watched.get_by_role("button", name="Sign out").wait_for()


@pytest.mark.parametrize("script", [True, False])
def test_app_and_spare_codes_sign_in_with_and_without_script(
    site: str, browser: Browser, script: bool
) -> None:
    context = browser.new_context(
        java_script_enabled=script, viewport={"width": 320, "height": 700}
    )
    page = context.new_page()
    enter_mailed_code(page, site)
    page.goto(site + PEOPLE)
    page.get_by_role("link", name="Set up an app").click()
    secret = page.locator("main code").first.inner_text()
    page.get_by_label("Authenticator code").fill(reckon_code(secret, time.time()))
    page.get_by_role("button", name="Use this app").click()
    expect(page.get_by_role("heading", name="Spare codes")).to_be_visible()
    spare = page.locator("main li code").first.inner_text()
    page.goto(site + PEOPLE)
    expect(page.get_by_role("heading", name="People", exact=True)).to_be_visible()
    sign_out(page)

    enter_mailed_code(page, site)
    page.get_by_label("Code").fill(spare)
    page.get_by_role("button", name="Sign in").click()
    page.get_by_role("button", name="Sign out").wait_for()
    page.goto(site + PEOPLE)
    expect(page.get_by_role("heading", name="People", exact=True)).to_be_visible()
    sign_out(page)
    enter_mailed_code(page, site)
    expect(page.get_by_role("button", name="Use a passkey")).to_have_count(0)  # there is none
    context.close()


def test_every_page_of_the_app_and_the_codes_passes_axe_and_fits(watched: Page, site: str) -> None:
    enter_mailed_code(watched, site)
    watched.goto(f"{site}{FACTOR}app/")
    secret = watched.locator("main code").first.inner_text()
    faults = look_at(watched)
    watched.get_by_label("Authenticator code").fill("000000")
    watched.get_by_role("button", name="Use this app").click()
    expect(watched.get_by_role("alert")).to_contain_text("This code is not right")
    faults += look_at(watched)
    watched.get_by_label("Authenticator code").fill(
        reckon_code(watched.locator("main code").first.inner_text(), time.time())
    )
    watched.get_by_role("button", name="Use this app").click()
    expect(watched.get_by_role("heading", name="Spare codes")).to_be_visible()
    assert secret
    for where in ("", "spare-codes/new/", "app/end/"):
        watched.goto(f"{site}{FACTOR}{where}")
        faults += look_at(watched)
    assert faults == []
