"""In a real browser: figures that follow the typing, layers hidden without script."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.signed_in import COORDINATOR, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LINE = f"{SITE}/plans/TY-27/lines/pockets-spring/"


def test_figures_follow_the_typing_and_nothing_is_kept(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    from orchard.models import PlanTreatment, PlanVersion

    sign_in(COORDINATOR)
    watched.goto(site + LINE)
    expect(watched.locator("#means tfoot")).to_contain_text("22")

    watched.get_by_label("Distance between holes, mm").fill("16 in")

    expect(watched.locator("#means")).to_contain_text("16 in is 406.4 mm.")
    expect(watched.locator("#means tfoot")).not_to_contain_text("22")
    assert PlanTreatment.objects.get(key="pockets-spring").parameters["spacing_mm"] == 300
    assert not PlanVersion.objects.exists()


def test_a_cleared_mark_hides_its_layer(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    sign_in(COORDINATOR)
    watched.goto(f"{site}{SITE}/ground/drawing/")
    trees = watched.locator("svg .layer-trees").first
    expect(trees).to_be_visible()

    watched.get_by_label("Trees and no-boring circles").uncheck()

    expect(trees).to_be_hidden()
    expect(watched.locator("svg .layer-pockets").first).to_be_visible()
