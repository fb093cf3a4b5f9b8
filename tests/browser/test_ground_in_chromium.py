"""The ground's pages before axe, figures that follow the typing, layers hidden without script."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from tests.browser.test_season_in_chromium import faults_of_axe, overhang_px
from tests.signed_in import COORDINATOR, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

LINE = f"{SITE}/plans/TY-27/lines/pockets-spring/"
PAGES = [
    f"{SITE}/ground/",
    f"{SITE}/ground/areas/A/",
    f"{SITE}/ground/areas/A/read/spade-test/",
    f"{SITE}/ground/drawing/",
    f"{SITE}/ground/growth/",
    f"{SITE}/ground/growth/record/",
    f"{SITE}/ground/growth/trees/T01/",
    f"{SITE}/place/facts/",
    f"{SITE}/place/figures/",
    f"{SITE}/place/figures/COR/",
    f"{SITE}/place/rates/",
    f"{SITE}/place/rates/backfill/",
    f"{SITE}/pockets/P3/",
    f"{SITE}/draw-a-pocket/",
    f"{SITE}/propose-pockets/?area=C&count=2&pocket_m2=20&rate=rule",
    f"{SITE}/locates/",
    f"{SITE}/methods/",
    f"{SITE}/methods/fit/?hours=100&money=2000",
    f"{SITE}/store/",
    f"{SITE}/plans/TY-27/add/",
    LINE,
    f"{SITE}/plans/TY-27/history/",
]


def test_the_grounds_pages_pass_axe_and_fit_a_narrow_screen(
    watched: Page, site: str, sign_in: Callable[[str], None]
) -> None:
    sign_in(COORDINATOR)

    found = {}
    for address in PAGES:
        for width_px in (1280, 320):
            watched.set_viewport_size({"width": width_px, "height": 800})
            watched.goto(site + address)
            found[address, width_px] = (faults_of_axe(watched), overhang_px(watched))

    assert found == dict.fromkeys(found, ([], 0))


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
