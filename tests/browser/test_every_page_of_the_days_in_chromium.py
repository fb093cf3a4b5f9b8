"""Every page of people and days, and every page of no site, before axe and at 320 px."""

import pytest
from playwright.sync_api import Browser

from tests.access_rows import OPEN_ROWS, SITE_ROWS
from tests.browser.every_page import ELSEWHERE, MORE, NO_PAGE, list_looks, open_looks, walk
from tests.project.test_access_matrix import make_world
from tests.signed_in import SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_every_page_of_people_and_days_passes_axe_and_fits(site: str, browser: Browser) -> None:
    world = make_world()
    looks = [(letter, world.fill(row)) for letter, row in list_looks("scheduling")]

    assert walk(browser, site, world, looks) == []


def test_every_page_of_no_site_and_more_states_pass_axe_and_fit(
    site: str, browser: Browser
) -> None:
    world = make_world()
    more = [(letter, address.format(site=SITE, **world.ids)) for letter, address in MORE]

    assert walk(browser, site, world, [*open_looks(), *more]) == []


def test_what_is_looked_at_elsewhere_is_in_the_register() -> None:
    names = {row.name for row in (*SITE_ROWS, *OPEN_ROWS)}

    assert set(ELSEWHERE) <= names
    assert names >= NO_PAGE
    open_pages = {address for _, address in open_looks()}
    for row in OPEN_ROWS:
        assert row.address in open_pages or row.name in ELSEWHERE or row.name in NO_PAGE, row.name
