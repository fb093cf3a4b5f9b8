"""A liaison asks, books, waits and confirms on a phone; skills are said and signed off; axe."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from playwright.sync_api import Page, expect

from scheduling.models import SchoolGroup, Session, SignUp, SkillRecord
from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, LIAISON, NOW, SITE, VOLUNTEER

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_a_liaison_asks_and_is_answered_on_a_phone(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    watched.set_viewport_size({"width": 320, "height": 700})
    sign_in(LIAISON)
    watched.goto(f"{site}{SITE}/classes/")
    watched.get_by_role("link", name="Ask for a date").click()
    watched.get_by_role("button", name="Ask").click()
    expect(watched.get_by_role("alert").first).to_be_visible()
    wrong = look_at(watched)
    watched.get_by_label("Tuesday").check()
    watched.get_by_label("Age 10").fill("20")
    watched.get_by_role("button", name="Ask").click()
    expect(watched.get_by_text("Your request is with the coordinator")).to_be_visible()
    watched.get_by_role("button", name="Sign out").click()
    watched.get_by_role("button", name="Sign out").wait_for(state="detached")

    sign_in(COORDINATOR)
    watched.goto(f"{site}{SITE}/class-requests/")
    watched.get_by_role("link", name="Class 7").first.click()
    watched.get_by_label("Session to offer").select_option(index=3)
    watched.get_by_role("button", name="Offer the session").click()
    expect(watched.get_by_text("the liaison is told by mail")).to_be_visible()
    wrong += look_at(watched)

    assert wrong == []


def test_the_states_of_a_class_pass_axe_and_fit(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    first, second, third = Session.objects.exclude(code="S04").order_by("starts_at")[:3]
    for session, columns in (
        (first, {"state": "waiting", "line": 90, "why": "S01 takes 32 people."}),
        (second, {"state": "offered", "line": 91, "offer_until": NOW + timedelta(days=2)}),
        (third, {"state": "confirmed"}),
    ):
        SignUp.objects.create(session=session, group=group, at=NOW - timedelta(days=60), **columns)
    Session.objects.filter(pk=third.pk).update(starts_at=NOW + timedelta(days=7))
    sign_in(LIAISON)
    watched.goto(f"{site}{SITE}/classes/")
    wrong = look_at(watched)
    watched.get_by_role("link", name="Confirm the numbers").click()
    watched.get_by_label("Age 10").fill("60")
    watched.get_by_role("button", name="These come").click()
    expect(watched.get_by_text("Nothing was changed")).to_be_visible()
    wrong += look_at(watched)

    assert wrong == []


def test_a_skill_is_said_and_signed_off_with_one_press(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    watched.set_viewport_size({"width": 320, "height": 700})
    sign_in(VOLUNTEER)
    watched.goto(f"{site}{SITE}/my-people/")
    watched.get_by_role("link", name="Søren").click()
    watched.get_by_role("link", name="Say what").click()
    watched.get_by_label("first aid").check()
    watched.get_by_role("button", name="Say so").click()
    expect(watched.get_by_text("says so, not signed off")).to_be_visible()
    watched.get_by_role("button", name="Sign out").click()
    watched.get_by_role("button", name="Sign out").wait_for(state="detached")

    sign_in(COORDINATOR)
    watched.goto(f"{site}{SITE}/said-skills/")
    wrong = look_at(watched)
    watched.get_by_role("button", name=re.compile("Sign off.*Søren")).click()
    expect(watched.get_by_text("Signed off for a year")).to_be_visible()

    assert wrong == []
    assert SkillRecord.objects.filter(person__code="P06", skill="first_aid").exists()
