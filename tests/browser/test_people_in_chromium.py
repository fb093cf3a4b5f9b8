"""A family's way on a phone, and first aid on the day, in a real browser."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest
import time_machine
from playwright.sync_api import Page, expect

from scheduling.models import FirstAidNote, Person, Session, SignUp
from tests.browser.looks import look_at
from tests.signed_in import GUARDIAN, LEAD, NOW, S02, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DAY = datetime(2027, 3, 20, 9, 0, tzinfo=UTC)
"""The day of S02, in fixtures/sessions.csv."""


def test_a_guardian_adds_a_child_signs_and_signs_up_on_a_phone(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    watched.set_viewport_size({"width": 320, "height": 700})
    sign_in(GUARDIAN)
    watched.goto(f"{site}{SITE}/my-people/")
    watched.get_by_label("First name").fill("Mio")
    watched.get_by_label("Month of birth").select_option("May")
    watched.get_by_label("Year of birth").fill("2013")
    watched.get_by_role("button", name="Add").click()
    expect(watched.get_by_text("Sign the consent next")).to_be_visible()

    watched.get_by_label("I have read the form").check()
    watched.get_by_role("button", name="Sign for Mio").click()
    expect(watched.get_by_text("a consent holds today")).to_be_visible()

    wrong = look_at(watched)
    watched.goto(f"{watched.url}erase/")
    wrong += look_at(watched)
    watched.goto(f"{site}{S02}/")
    watched.get_by_label("Mio").first.check()
    watched.get_by_role("button", name="Sign up").click()
    expect(watched.get_by_text("Mio").first).to_be_visible()
    assert Person.objects.get(first_name="Mio").signups.count() == 1
    assert wrong + look_at(watched) == []


def test_first_aid_on_the_day_passes_axe_and_fits(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    put("P03")  # fixtures/people.csv: the lead's own person
    child = put("P41")
    FirstAidNote.objects.create(
        person=child, text="An inhaler, blue.", written_at=DAY, keep_until=DAY.date()
    )
    with time_machine.travel(DAY):
        sign_in(LEAD)
        watched.goto(f"{site}{S02}/first-aid/")
        watched.get_by_role("button", name=f"Open the note of {child}").click()
        expect(watched.get_by_text("An inhaler, blue.")).to_be_visible()

        assert look_at(watched) == []


def put(code: str) -> Person:
    person = Person.objects.get(code=code)
    SignUp.objects.update_or_create(
        session=Session.objects.get(code="S02"),
        person=person,
        defaults={"state": SignUp.State.CONFIRMED, "at": NOW},
    )
    return person
