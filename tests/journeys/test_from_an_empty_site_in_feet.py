"""The same beginning in US units: a site paced in feet, to the Letter page of one pocket.

Nothing on the way asks for metres or shows them.
"""

import re
from collections.abc import Iterator
from html import unescape
from io import StringIO

import pytest
import time_machine
from django.contrib.auth.models import AbstractBaseUser
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.test import Client

from orchard.models import Pocket, Site, Tree, User
from orchard.queries.pocket_layouts import find_pocket_layout
from tests.scheduling.sheets.reading import page_texts, read_pdf
from tests.signed_in import NOW

SITE = "/kiln-lot"
FOOT_M = 0.3048  # international foot, exact: NIST Handbook 44, appendix C
START = [
    "start_site", "kiln-lot", "--name", "Kiln Lot Orchard", "--coordinator", "june@example.org",
    "--town", "Harrow Falls", "--time-zone", "America/New_York", "--units", "us",
    "--peg", "41.2", "-82.4", "--corners", "0 0; 130 0; 130 100; 0 100",
]  # fmt: skip
TREES = (
    "tag,species,east,north,canopy radius,trunk\n"
    "T1,apple,20,20,6,3\n"
    "T2,pear,40,20,5,2.75\n"
)  # fmt: skip
METRIC = re.compile(r"\b\d[\d.,]*\s?(mm|cm|m|m²|km|kg|L|litres|metres)\b")


@pytest.fixture
def coordinator(db: None) -> Iterator[Client]:
    with time_machine.travel(NOW, tick=False):
        call_command(*START, stdout=StringIO())
        client = Client()
        account: AbstractBaseUser = User.objects.get()
        client.force_login(account, backend="django.contrib.auth.backends.ModelBackend")
        yield client


def read(client: Client, address: str) -> str:
    answer = client.get(f"{SITE}/{address}")
    assert answer.status_code == 200, address
    return unescape(answer.content.decode())


def words(page: str) -> str:
    """What a person reads in the page's own part: no addresses, no attributes."""
    body = page[page.index("<main") : page.index("</main>")]
    return re.sub(r"<[^>]+>", " ", body)


def send(client: Client, address: str, given: dict[str, object]) -> str:
    text = unescape(client.post(f"{SITE}/{address}", given, follow=True).content.decode())
    assert "Put this right first" not in text, text
    return text


def bring_in_ground(client: Client) -> None:
    area = {
        "code": "A", "name": "Old kiln", "kind": "lawn",
        "corners": "6 6\n125 6\n125 92\n6 92",
    }  # fmt: skip
    form = client.get(f"{SITE}/place/areas/add/").context["form"]
    area["placed_by"] = form.get_initial_for_field(form.fields["placed_by"], "placed_by")
    shown = client.post(f"{SITE}/place/areas/add/", area)
    send(client, "place/areas/add/", {**area, "seal": shown.context["seal"], "save": "1"})
    file = SimpleUploadedFile("trees.csv", TREES.encode())
    columns = client.post(f"{SITE}/place/import/", {"file": file, "noun": "tree"}, follow=True)
    at = columns.redirect_chain[-1][0]
    changes = client.get(f"{at}changes/")
    client.post(f"{at}save/", {"seal": changes.context["form"].initial["seal"]}, follow=True)
    form = client.get(f"{SITE}/draw-a-pocket/").context["form"]
    send(
        client,
        "draw-a-pocket/",
        {"code": "P1", "name": "behind the kiln", "area": "A", "way": form.fields["way"].initial,
         "corners": "33 39\n48.5 39\n48.5 52\n33 52"},
    )  # fmt: skip


def test_bare_numbers_are_feet_and_inches_all_the_way(coordinator: Client) -> None:
    bring_in_ground(coordinator)

    outline = Site.objects.get().outline
    assert max(east for east, _ in outline) == pytest.approx(130 * FOOT_M, abs=0.001)
    first = Tree.objects.get(tag="T1")
    assert (first.east_m, first.north_m) == pytest.approx((20 * FOOT_M, 20 * FOOT_M), abs=0.001)
    assert first.canopy_radius_m == pytest.approx(6 * FOOT_M, abs=0.001)
    pocket = Pocket.objects.get()
    assert max(east for east, _ in pocket.outline) == pytest.approx(48.5 * FOOT_M, abs=0.001)


def test_no_page_on_the_way_speaks_metric(coordinator: Client) -> None:
    bring_in_ground(coordinator)
    send(coordinator, "store/usual-list/", {})
    send(coordinator, "start-a-plan/", {"code": "KL-27", "title": "First year", "budget": "1500"})
    chips = {"areas": ["A"], "p_depth_mm": "3 in", "p_clearance_mm": "6 in", "priority": "5",
             "key": "chips", "save": "1"}  # fmt: skip
    send(coordinator, "plans/KL-27/add/MUL/", chips)
    send(coordinator, "plans/KL-27/publish/", {})

    for address in (
        "place/", "ground/areas/A/", "methods/?ground=area-A", "pockets/P1/", "plans/KL-27/",
        "plans/KL-27/changes/", "store/", "ground/drawing/?part=pocket-P1", "locates/",
    ):  # fmt: skip
        found = METRIC.search(words(read(coordinator, address)))
        assert found is None, f"{address}: {found and found[0]}"


def test_the_pocket_page_is_on_letter_in_feet_and_inches(coordinator: Client) -> None:
    bring_in_ground(coordinator)

    found = find_pocket_layout(Site.objects.get().pk, "P1")
    assert found is not None
    # 15.5 ft by 13 ft are 4.7244 m by 3.9624 m; mouths of 75 mm whole inside, 300 mm apart:
    # 4.6494 / 0.3 and 3.8874 / 0.3 make 16 by 13 places.
    assert len(found.layout.holes) == 16 * 13
    page = coordinator.get(f"{SITE}/pockets/P1/sheet-letter.pdf")
    sheet = read_pdf(page.content).pages[0].mediabox
    assert (float(sheet.width), float(sheet.height)) == pytest.approx((612, 792))  # 8.5 × 11 in
    printed = " ".join(page_texts(page.content))
    assert "First measure from peg A to peg B: 15' 6\"." in printed
    # An auger is sold by the inch and by the millimetre: its width is given in both.
    found_metric = METRIC.search(printed.replace("3 in (75 mm) wide", ""))
    assert found_metric is None, found_metric
