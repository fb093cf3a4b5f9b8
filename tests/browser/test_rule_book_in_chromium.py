"""The pages of the rule book, the day and the class check before axe, wide and narrow."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.looks import look_at
from tests.signed_in import COORDINATOR, S02

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


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
    assert look_at(watched) == []
