"""A file brought in and a tree placed with tapes, in a real browser."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Page, expect

from orchard.models import Tree
from tests.signed_in import COORDINATOR, SITE

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FILE = (
    "Tree no;Kind;East;North;Crown spread (ft)\n"
    "T01;apple;4,6;8,7;16\n"
    "T40;pear;8;12,5;12\n"
    "T41;plum;55;80;12\n"
).encode("latin-1")


@pytest.mark.parametrize("width_px", [360, 1280])
def test_a_file_and_a_tape(
    watched: Page, site: str, sign_in: Callable[[str], None], width_px: int
) -> None:
    watched.set_viewport_size({"width": width_px, "height": 800})
    sign_in(COORDINATOR)
    watched.goto(f"{site}{SITE}/place/import/")
    watched.locator("input[type=file]").set_input_files(
        {"name": "trees.csv", "mimeType": "text/csv", "buffer": FILE}
    )
    watched.get_by_role("button", name="Read the file").click()
    watched.get_by_role("button", name="Show what would change").click()
    expect(watched.get_by_text("off the site")).to_be_visible()
    watched.get_by_role("button", name="Save these changes").click()
    expect(watched.get_by_role("heading", name="Saved")).to_be_visible()
    assert Tree.objects.filter(tag="T40").exists()

    watched.goto(f"{site}{SITE}/place/tapes/")
    watched.locator("#id_tag").fill("T50")
    watched.locator("#id_species").fill("apple")
    watched.locator("#id_peg_1").select_option("T01")
    watched.locator("#id_tape_1").fill("19' 8\"")
    watched.locator("#id_peg_2").select_option("T03")
    watched.locator("#id_tape_2").fill("5,5 m")
    watched.locator("#id_side").select_option("left")
    watched.get_by_role("button", name="Work out the place").click()
    expect(watched.get_by_text("Read as 5.994 m (19.67 ft).")).to_be_visible()
    watched.get_by_role("button", name="Keep this tree").click()
    expect(watched.get_by_text("Tree T50 added, in area A.")).to_be_visible()
