"""From an empty site, with a CSV of trees and a tape: areas, pegs, trees, and files out again."""

import math
from html import unescape

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from orchard.models import Area, Site, Tree
from tests.journeys.conftest import Enter
from tests.signed_in import COORDINATOR, VOLUNTEER

YARD = "/new-yard"
SITE = {
    "name": "New Yard Orchard",
    "slug": "new-yard",
    "town": "Ellemarre",
    "time_zone": "Europe/Amsterdam",
    "units": "metric",
    "organiser_name": "Friends of the New Yard",
    "peg_latitude": "52.79",
    "peg_longitude": "5.31",
    "placed_by": "m",
    "corners": "0 0\n50 0\n50 30\n0 30",
    "entrance": "Gate in Kiln Lane",
    "emergency_number": "112",
    "nearest_emergency_department": "Ellemarre Hospital",
    "muster_point": "Inside the gate",
    "shelter": "The kiln shed",
}
# As a spreadsheet of the mainland writes it: Latin-1, semicolons, decimal commas, and two slips.
TREES = (
    "Label;Fruit;Variety;Peg 1;Tape 1 (m);Peg 2;Tape 2 (m);Side;Crown spread (ft);Girth (cm)\r\n"
    "N1;pear;Beurré Hardy;PEG;10;B;17,32;left;12;31,4\r\n"
    "N2;apple;Gravenstein;PEG;18,03;B;18,03;left;16;40\r\n"
    "N3;apple;;PEG;3;B;4;left;16;40\r\n"
    "N2b;apple;;PEG;18,05;B;18,03;left;16;40\r\n"
).encode("latin-1")


def text_of(answer: object) -> str:
    return unescape(answer.content.decode())  # type: ignore[attr-defined]


def import_file(client: Client, name: str, data: bytes, noun: str = "tree") -> str:
    """Send a file, accept its columns, and return the page of what it would change."""
    columns = client.post(
        f"{YARD}/place/import/", {"file": SimpleUploadedFile(name, data), "noun": noun}, follow=True
    )
    at = columns.redirect_chain[-1][0]
    boxes = {box.html_name: box.value() for form in columns.context["forms"] for box in form}
    preview = client.post(at, boxes, follow=True)
    assert preview.redirect_chain[-1][0] == f"{at}changes/"
    return at


def save(client: Client, at: str) -> str:
    seal = client.get(f"{at}changes/").context["form"].initial["seal"]
    return text_of(client.post(f"{at}save/", {"seal": seal}, follow=True))


def test_an_empty_site_is_filled_from_a_file_and_a_tape(enter: Enter) -> None:
    client = enter(COORDINATOR)

    assert "Start another site" in text_of(client.get("/"))
    started = text_of(client.post("/sites/start/", SITE, follow=True))
    assert "There is no area yet." in started
    assert "There is no tree yet." in started

    # A lawn by its corners, typed in.
    lawn = {"code": "A", "name": "Kiln lawn", "kind": "lawn", "placed_by": "m"}
    lawn["corners"] = "1 1\n49 1\n49 29\n1 29"
    shown = client.post(f"{YARD}/place/areas/add/", lawn)
    assert "1344 m² inside 4 corners" in text_of(shown)
    assert not Area.objects.filter(site__slug="new-yard").exists()
    client.post(f"{YARD}/place/areas/add/", {**lawn, "seal": shown.context["seal"], "save": "yes"})
    assert Area.objects.get(site__slug="new-yard").code == "A"

    # A second peg, twenty metres along the fence from the site's own.
    peg = {"name": "B", "east": "20 m", "east_hand": "east", "north": "0 m", "north_hand": "north"}
    assert "Peg B added." in text_of(client.post(f"{YARD}/place/pegs/add/", peg, follow=True))

    # The file: two trees by tapes, one whose tapes do not meet, one on top of another.
    at = import_file(client, "trees.csv", TREES)
    preview = text_of(client.get(f"{at}changes/"))
    assert "Read as Latin-1" in preview
    assert "2 to add, 0 to change, 0 left as they are" in preview
    assert "reach 7.00 m together, but the pegs are 20.00 m apart" in preview
    assert "from tree N2; two trees nearer than 30 cm" in preview
    assert not Tree.objects.filter(site__slug="new-yard").exists()

    assert "2 rows could not be used and were left out" in save(client, at)
    pear = Tree.objects.get(site__slug="new-yard", tag="N1")
    # By hand: 10, 17.32 and 20 make a right angle at the tree (100 + 300 = 400), so it stands
    # 10 · cos 60° = 5 m along and 10 · sin 60° = 8.66 m off. 31.4 cm of girth is 100 mm.
    assert math.dist((pear.east_m, pear.north_m), (5.0, 8.66)) < 0.005
    assert (pear.cultivar, pear.stem_diameters_mm) == ("Beurré Hardy", [100])

    # One more tree, measured alone, from a peg and a tree.
    tree = {
        "tag": "N4",
        "species": "plum",
        "peg_1": "B",
        "tape_1": "10 m",
        "peg_2": "N1",
        "tape_2": "49' 2\"",
        "side": "right",
    }
    worked = client.post(f"{YARD}/place/tapes/", tree)
    assert "A new tree N4 (plum)" in text_of(worked)
    client.post(f"{YARD}/place/tapes/", {**tree, "seal": worked.context["seal"], "save": "yes"})
    assert Tree.objects.filter(site__slug="new-yard").count() == 3

    # The same file again adds nothing.
    again = import_file(client, "trees.csv", TREES)
    assert "0 to add, 0 to change, 2 left as they are" in text_of(client.get(f"{again}changes/"))

    # Out, into another empty site, and out again: the same files.
    out = {
        name: client.get(f"{YARD}/place/files/{name}").content
        for name in ("areas.csv", "trees.csv", "place.geojson")
    }
    copy = {**SITE, "slug": "copy-yard", "name": "Copy Yard"}
    client.post("/sites/start/", copy)
    Site.objects.filter(slug="new-yard").update(slug="old-yard")
    Site.objects.filter(slug="copy-yard").update(slug="new-yard")
    save(client, import_file(client, "areas.csv", out["areas.csv"], "area"))
    save(client, import_file(client, "trees.csv", out["trees.csv"]))
    for name, content in out.items():
        assert client.get(f"{YARD}/place/files/{name}").content == content


def test_a_volunteer_finds_none_of_it(enter: Enter) -> None:
    volunteer = enter(VOLUNTEER)

    assert "Trees and areas" not in text_of(volunteer.get("/"))
    for path in ("/sites/start/", "/traverser-yard/place/", "/traverser-yard/place/import/"):
        assert volunteer.get(path).status_code == 404
