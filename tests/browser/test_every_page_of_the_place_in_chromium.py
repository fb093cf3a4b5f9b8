"""Every page of the place and the plan before axe and at 320 px."""

import pytest
from playwright.sync_api import Browser

from tests.browser.every_page import list_looks, walk
from tests.project.test_access_matrix import make_world

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def test_every_page_of_the_place_passes_axe_and_fits(site: str, browser: Browser) -> None:
    world = make_world()
    looks = [(letter, world.fill(row)) for letter, row in list_looks("orchard")]

    assert walk(browser, site, world, looks) == []
