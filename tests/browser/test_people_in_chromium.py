"""The pages of people, mail, calendars and papers before axe, wide and narrow; a family's day."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from scheduling.models import Person
from tests.browser.test_rule_book_in_chromium import judge
from tests.signed_in import COORDINATOR, GUARDIAN, S02, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

GOOD = {1280: ([], 0), 320: ([], 0)}


def test_the_coordinators_pages_of_people_pass_axe_and_fit(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    person = Person.objects.get(code="P53").pk
    adult = Person.objects.get(code="P02").pk
    pages = [
        f"people/{person}/",
        f"people/{adult}/",
        "people/add/",
        "people/",
        "mail/",
        "calendar/",
    ]
    sign_in(COORDINATOR)

    found = {address: judge(watched, f"{site}{SITE}/{address}") for address in pages}
    found["papers"] = judge(watched, f"{site}{S02}/papers/")

    assert found == dict.fromkeys(found, GOOD)


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

    address = watched.url
    assert judge(watched, address) == GOOD
    assert judge(watched, f"{site}{SITE}/my-people/") == GOOD
    assert judge(watched, f"{address}erase/") == GOOD
    watched.set_viewport_size({"width": 320, "height": 700})
    watched.goto(f"{site}{S02}/")
    watched.get_by_label("Mio").first.check()
    watched.get_by_role("button", name="Sign up").click()
    expect(watched.get_by_text("Mio").first).to_be_visible()
    assert Person.objects.get(first_name="Mio").signups.count() == 1
    assert judge(watched, f"{site}{S02}/") == GOOD
