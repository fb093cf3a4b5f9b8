"""The pages of the rule book, the day and the class check before axe, wide and narrow."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from scheduling.models import Session
from tests.browser.test_season_in_chromium import faults_of_axe, overhang_px
from tests.signed_in import COORDINATOR, LIAISON, S02, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

SETS = f"{SITE}/rule-sets"
PAGES = (
    f"{SITE}/rule-book/",
    f"{SETS}/",
    f"{SETS}/SITE-1/1/",
    f"{SETS}/NSPCC-2023/1/change/?figure=supervision.least_adults&value=9",
    f"{S02}/roster/",
    f"{S02}/roster/move/",
    f"{S02}/day-now/",
    f"{S02}/roster/repair/",
    f"{S02}/roster/chance/",
    f"{S02}/roster/better/",
    f"{S02}/weather/",
    f"{S02}/ground/",
)


def judge(page: Page, address: str) -> dict[int, tuple[list[str], int]]:
    found = {}
    for width_px in (1280, 320):
        page.set_viewport_size({"width": width_px, "height": 800})
        page.goto(address)
        found[width_px] = (faults_of_axe(page), overhang_px(page))
    return found


def test_the_coordinators_pages_pass_axe_and_fit_a_narrow_screen(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    sign_in(COORDINATOR)
    watched.goto(f"{site}{S02}/roster/")
    watched.get_by_role("button", name="Propose a roster").click()
    expect(watched.get_by_text("A draft roster is proposed.")).to_be_visible(timeout=30_000)

    found = {address: judge(watched, site + address) for address in PAGES}

    assert found == {address: {1280: ([], 0), 320: ([], 0)} for address in PAGES}


def test_a_forecast_typed_on_a_phone_is_answered_at_once(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    watched.set_viewport_size({"width": 360, "height": 800})
    sign_in(COORDINATOR)

    watched.goto(f"{site}{S02}/weather/")
    watched.get_by_label("Temperature (°C)").fill("33")
    watched.get_by_label("Dew point (°C)").fill("24")
    watched.get_by_label("Thunder expected").select_option("no")
    watched.get_by_role("button", name="Keep and judge").click()

    expect(watched.get_by_text("Humidex", exact=False).first).to_be_visible()
    assert judge(watched, f"{site}{S02}/weather/") == {1280: ([], 0), 320: ([], 0)}


def test_the_class_check_with_its_answer_passes_axe_and_fits(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    s05 = Session.objects.get(code="S05").pk
    sign_in(LIAISON)
    asked = f"session={s05}&staff=3&checked_staff=2&helpers=1&age_7=7&age_9=9&age_14=11"

    address = f"{site}{SITE}/classes/SLUICE-7/check/?{asked}"

    assert judge(watched, address) == {1280: ([], 0), 320: ([], 0)}
