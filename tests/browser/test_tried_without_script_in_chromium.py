"""The site tried as people use it on a small phone with scripts off: 320 px, no script at all.

A volunteer, a guardian of three, and a coordinator who adds somebody at the gate.
"""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

import pytest
import time_machine
from django.core import mail
from playwright.sync_api import Browser, Page, expect

from scheduling.models import Person, SignUp
from tests.browser.looks import overhang_px
from tests.project.test_access_matrix import publish_a_roster
from tests.signed_in import COORDINATOR, GUARDIAN, S02, SEASON, SITE, VOLUNTEER

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

S05 = f"{SEASON}/sessions/S05"
DAY = datetime(2027, 3, 20, 8, 0, tzinfo=UTC)
"""The morning of S02, in fixtures/sessions.csv."""


@pytest.fixture
def phone(browser: Browser, site: str) -> Iterator[Page]:
    context = browser.new_context(
        java_script_enabled=False, viewport={"width": 320, "height": 640}, base_url=site
    )
    yield context.new_page()
    context.close()


@pytest.fixture
def enter(phone: Page) -> Callable[[str], None]:
    def entered(email: str) -> None:
        phone.goto("/account/login/code/")
        phone.get_by_label("Email").fill(email)
        phone.get_by_role("button", name="Send me a code").click()
        code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
        assert code is not None
        phone.get_by_label("Code").fill(code[1])
        phone.get_by_role("button", name="Sign in").click()
        expect(phone.get_by_role("button", name="Sign out")).to_be_visible()

    return entered


def coming(session: str) -> set[str]:
    rows = SignUp.objects.filter(session__code=session, state=SignUp.State.CONFIRMED)
    return set(rows.values_list("person__first_name", flat=True))


def test_a_volunteer_signs_up_and_withdraws(phone: Page, enter: Callable[[str], None]) -> None:
    enter(VOLUNTEER)
    phone.get_by_role("link", name="Coming sessions").first.click()
    phone.locator(f'a[href="{S05}/"]').first.click()
    phone.get_by_role("button", name="Sign up").click()
    expect(phone.get_by_text("Signed up: Søren.")).to_be_visible()
    assert "Søren" in coming("S05")
    phone.get_by_role("link", name="My sessions").click()
    expect(phone.get_by_role("heading", name="My sessions").first).to_be_visible()
    assert overhang_px(phone) == 0
    phone.locator(f'a[href="{S05}/"]').first.click()
    phone.get_by_role("button", name="Withdraw").click()

    expect(phone.get_by_text("Withdrawn: Søren").first).to_be_visible()
    assert "Søren" not in coming("S05")


def test_a_guardian_of_three_brings_them_all(phone: Page, enter: Callable[[str], None]) -> None:
    """Two are on file in fixtures/people.csv; the third is added and signed for here."""
    enter(GUARDIAN)
    phone.get_by_role("link", name="My people").click()
    phone.get_by_label("First name").fill("Vy 🌱")
    phone.get_by_label("Month of birth").select_option("May")
    phone.get_by_label("Year of birth").fill("2013")
    phone.get_by_role("button", name="Add").click()
    expect(phone.get_by_text("Sign the consent next")).to_be_visible()
    phone.get_by_label("I have read the form").check()
    assert not phone.get_by_label("Photographs").is_checked()
    phone.get_by_role("button", name="Sign for Vy 🌱").click()
    expect(phone.get_by_text("a consent holds today")).to_be_visible()
    assert overhang_px(phone) == 0

    phone.goto(f"{S05}/")
    for name in ("Hạnh", "Minh", "Lan", "Vy 🌱"):
        phone.get_by_label(name).first.check()
    phone.get_by_role("button", name="Sign up").click()
    expect(phone.get_by_role("status")).to_contain_text("Signed up: Hạnh")
    assert {"Hạnh", "Minh", "Lan", "Vy 🌱"} <= coming("S05")
    phone.goto(f"{SITE}/my-sessions/")
    expect(phone.get_by_text("Vy 🌱").first).to_be_visible()
    assert overhang_px(phone) == 0


def test_a_coordinator_adds_somebody_at_the_gate(phone: Page, enter: Callable[[str], None]) -> None:
    publish_a_roster()
    with time_machine.travel(DAY):
        enter(COORDINATOR)
        phone.get_by_role("link", name="People", exact=True).click()
        phone.get_by_role("link", name="Add somebody").click()
        phone.get_by_label("First name").fill("Gwen")
        phone.get_by_label("Family name").fill("=O’Gate")
        phone.get_by_label("Month of birth").select_option("March")
        phone.get_by_label("Year of birth").fill("1980")
        phone.get_by_role("button", name="Add").click()
        expect(phone.get_by_text("Gwen is added.")).to_be_visible()
        assert overhang_px(phone) == 0

        phone.get_by_role("link", name="Take them into S02").click()
        who = Person.objects.get(first_name="Gwen").pk
        phone.locator("#id_came_1").select_option(str(who))
        phone.get_by_role("button", name="Show a repair").click()
        phone.get_by_role("button", name="Keep as a new draft").click(timeout=60_000)
        expect(phone.get_by_role("heading", name="S02").first).to_be_visible()
        assert overhang_px(phone) == 0
        assert "Gwen" in coming("S02")
        phone.goto(f"{S02}/papers/")
        paper = phone.request.get(f"{S02}/papers/sign-in-a4.pdf")
        assert paper.body()[:5] == b"%PDF-"
