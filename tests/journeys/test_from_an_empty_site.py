"""A new coordinator with an empty site, a CSV of trees and a tape, to a page two people work from.

Import, readings, a verdict, a method chosen by cost and hours, a plan, a drawing and
a setting-out table for one pocket on one printed page.
"""

import re
from collections.abc import Iterator
from html import unescape
from io import StringIO

import pytest
import time_machine
from django.core import mail
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from pytest_django import Settings

from orchard.models import Pocket, Site, Task, Tree, User
from orchard.queries.pocket_layouts import find_pocket_layout
from tests.scheduling.sheets.reading import page_texts, read_pdf
from tests.signed_in import NOW

SITE = "/brick-field"
WHO = "anna@example.org"
START = [
    "start_site", "Brick-Field", "--name", "Brick Field Orchard", "--coordinator", WHO,
    "--town", "Ellemarre", "--time-zone", "Europe/Amsterdam", "--peg", "52.78", "5.28",
    "--corners", "0 0; 40 0; 40 30; 0 30",
]  # fmt: skip
TREES = (
    "tag;species;east (m);north (m);canopy radius (m);stem (mm)\n"
    "T1;apple;6;6;1,8;80\n"
    "T2;apple;12;6;1,7;75\n"
    "T3;pear;18;6;1,5;70\n"
    "T4;plum;24;6;1,9;90\n"
)


@pytest.fixture
def coordinator(db: None, settings: Settings) -> Iterator[Client]:
    """The new coordinator, signed in by the code that was mailed."""
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        call_command(*START, stdout=StringIO())
        client = Client()
        client.post("/account/login/code/", {"email": WHO}, follow=True)
        code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
        assert code is not None
        home = client.post("/account/login/code/confirm/", {"code": code[1]}, follow=True)
        assert "Brick Field Orchard" in home.content.decode()
        yield client


def read(answer: object) -> str:
    return unescape(answer.content.decode())


def send(client: Client, address: str, given: dict[str, object]) -> str:
    """Post a form and return the page it leads to; a page with errors fails the journey."""
    text = read(client.post(f"{SITE}/{address}", given, follow=True))
    assert "Put this right first" not in text, text
    return text


def bring_in_trees(client: Client) -> None:
    area = {
        "code": "A",
        "name": "Old kiln",
        "kind": "lawn",
        "placed_by": "m",
        "corners": "2 2\n38 2\n38 28\n2 28",
    }
    shown = client.post(f"{SITE}/place/areas/add/", area)
    send(client, "place/areas/add/", {**area, "seal": shown.context["seal"], "save": "1"})
    file = SimpleUploadedFile("trees.csv", TREES.encode("utf-8-sig"))
    columns = client.post(f"{SITE}/place/import/", {"file": file, "noun": "tree"}, follow=True)
    at = columns.redirect_chain[-1][0]
    changes = client.get(f"{at}changes/")
    assert "4 to add" in read(changes)
    assert not Tree.objects.exists()
    client.post(f"{at}save/", {"seal": changes.context["form"].initial["seal"]}, follow=True)
    assert Tree.objects.count() == 4


def read_the_ground(client: Client) -> str:
    for values in (("250 psi", "320 psi", "330 psi"), ("1.9", "2.4", "2.6"), ("2", "2.5", "2.3")):
        given = {f"at_{place}": value for place, value in enumerate(values)}
        send(
            client,
            "ground/areas/A/read/penetrometer/",
            {"on": "2027-01-30", "moisture": "moist", **given},
        )
    send(
        client,
        "ground/areas/A/read/percolation/",
        {"on": "2027-01-30", "hole": "12 in (30 cm) deep", "soaked_first": "on",
         "hours_to_drain": "30"},
    )  # fmt: skip
    send(client, "ground/areas/A/past/", {"past_use": "pasture, never built on"})
    return read(client.get(f"{SITE}/ground/areas/A/"))


def test_from_an_empty_site_to_a_page_two_people_work_from(coordinator: Client) -> None:
    client = coordinator
    assert "This site has no remediation plan yet" in read(client.get(f"{SITE}/plans/"))

    bring_in_trees(client)
    verdict = read_the_ground(client)
    # 300 psi (2.07 MPa) limits roots: Cornell NRCCA PO 35. A hole still wet after a day: UC IPM.
    assert re.search(r"Old kiln \(A\): (severely )?compacted", verdict)
    assert "too slow" in verdict
    assert "What next" in verdict

    text = read(client.get(f"{SITE}/methods/?ground=area-A"))
    assert "Mulch only" in text
    fits = read(client.get(f"{SITE}/methods/fit/?hours=120&money=2500"))
    assert "combinations, proven" in fits

    proposed = {"area": "A", "count": "1", "pocket_m2": "20", "rate": "clay-cap"}
    assert "No placing can do better" in read(client.get(f"{SITE}/propose-pockets/", proposed))
    send(
        client,
        "draw-a-pocket/",
        {"code": "P1", "name": "behind the kiln", "area": "A", "way": "metres",
         "corners": "10 12\n15 12\n15 16\n10 16"},
    )  # fmt: skip

    send(client, "store/usual-list/", {})
    send(client, "start-a-plan/", {"code": "BF-27", "title": "First year", "budget": "1500"})
    chips = {"areas": ["A"], "p_depth_mm": "3 in", "p_clearance_mm": "150", "priority": "5",
             "key": "chips"}  # fmt: skip
    shown = send(client, "plans/BF-27/add/MUL/", {**chips, "show": "1"})
    assert "3 in is 76.2 mm." in shown
    assert "This line alone" in shown
    send(client, "plans/BF-27/add/MUL/", {**chips, "save": "1"})
    form = client.get(f"{SITE}/plans/BF-27/add/COR/").context["form"]
    cores = {name: field.get_bound_field(form, name).value() for name, field in form.fields.items()}
    cores |= {"pockets": ["P1"], "key": "cores", "save": "1"}
    send(client, "plans/BF-27/add/COR/", {k: v for k, v in cores.items() if v is not None})

    changes = read(client.get(f"{SITE}/plans/BF-27/changes/"))
    assert "New: " in changes
    send(client, "plans/BF-27/publish/", {})
    assert set(Task.objects.values_list("kind", flat=True)) >= {"mulch", "core", "backfill"}
    assert "open boring tasks lack a locate" in read(client.get(f"{SITE}/locates/"))

    found = find_pocket_layout(Site.objects.get().pk, "P1")
    assert found is not None
    # 5 m by 4 m, mouths of 75 mm whole inside: 4.925 / 0.3 and 3.925 / 0.3 make 17 by 14 places.
    assert len(found.layout.holes) == 17 * 14
    page = client.get(f"{SITE}/pockets/P1/sheet-a4.pdf")
    assert len(read_pdf(page.content).pages) == 1
    (printed,) = page_texts(page.content)
    assert f"{len(found.layout.holes)} holes" in printed
    assert "First measure from peg A to peg B: 5.00 m." in printed
    assert all(run.names in printed for run in found.rows)
    drawing = read(client.get(f"{SITE}/ground/drawing/?part=pocket-P1"))
    assert "Pocket P1 and what lies" in drawing

    history = read(client.get(f"{SITE}/plans/BF-27/history/"))
    assert history.count("Version ") == 3
    assert WHO in history


def test_the_same_site_is_not_started_twice(coordinator: Client) -> None:
    with pytest.raises(CommandError, match="The short name “brick-field” is taken"):
        call_command(*START)

    assert Site.objects.count() == 1
    assert User.objects.count() == 1


def test_a_site_without_a_sensible_outline_starts_nothing(db: None) -> None:
    for corners, sentence in (
        ("0 0; 40 0", "corner"),
        ("0 0; 40 x; 3 3", "“x” cannot be read as a length"),
    ):
        with pytest.raises(CommandError, match=sentence):
            call_command(*START[:-1], corners)

    assert not Site.objects.exists()
    assert not User.objects.exists()
    assert not Pocket.objects.exists()
