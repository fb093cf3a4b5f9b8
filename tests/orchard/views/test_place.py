"""Trees and areas by hand: tapes, corners, pegs, files out, a site started, units chosen."""

from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import Area, Peg, Site, Tree, User
from tests.signed_in import COORDINATOR, SITE, VOLUNTEER, SignIn

PLACE = f"{SITE}/place"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(client: Client, path: str) -> str:
    return unescape(client.get(path).content.decode())


def test_the_page_shows_areas_trees_pegs_and_the_drawing(client: Client) -> None:
    text = read(client, f"{PLACE}/")

    assert "A, Wheel-lathe lawn" in text
    assert "4.6 m east, 8.7 m north" in text
    assert "PEG" in text
    assert 'class="drawing"' in text


def test_a_person_in_us_units_sees_feet(client: Client) -> None:
    client.post("/account/units/", {"units": "us"})

    assert User.objects.get(email=COORDINATOR).units == "us"
    assert "15.09 ft east, 28.54 ft north" in read(client, f"{PLACE}/")
    assert "Your units" in read(client, "/")
    assert " cu yd</td>" in read(client, f"{SITE}/plans/TY-27/")


def test_files_out_come_back_without_a_change(client: Client) -> None:
    from django.core.files.uploadedfile import SimpleUploadedFile

    for name, noun in (("trees.csv", "tree"), ("areas.csv", "area"), ("place.geojson", "tree")):
        out = client.get(f"{PLACE}/files/{name}")
        assert out.headers["Content-Disposition"] == (
            f'attachment; filename="traverser-yard-{name}"'
        )
        answer = client.post(
            f"{PLACE}/import/",
            {"file": SimpleUploadedFile(name, out.content), "noun": noun},
            follow=True,
        )
        changes = client.get(answer.redirect_chain[-1][0] + "changes/").content.decode()
        assert "the site is already as the file says" in changes
    assert client.get(f"{PLACE}/files/people.csv").status_code == HTTPStatus.NOT_FOUND


TAPES = {
    "tag": "T40",
    "species": "pear",
    "peg_1": "PEG",
    "tape_1": "14,42 m",
    "peg_2": "T01",
    "tape_2": "17' 3\"",
    "side": "right",
}


def test_a_tree_is_worked_out_from_tapes_and_then_kept(client: Client) -> None:
    page = client.post(f"{PLACE}/tapes/", TAPES)
    text = unescape(page.content.decode())
    assert "A new tree T40 (pear)" in text
    assert "The tapes cross at" in text
    assert "On the left they cross at" in text
    assert "Read as 14.42 m (47.31 ft)." in text
    assert not Tree.objects.filter(tag="T40").exists()

    kept = client.post(
        f"{PLACE}/tapes/", {**TAPES, "seal": page.context["seal"], "save": "yes"}, follow=True
    )

    assert "Tree T40 added, in area A." in kept.content.decode()
    tree = Tree.objects.get(tag="T40")
    assert (tree.east_m**2 + tree.north_m**2) ** 0.5 == pytest.approx(14.42, abs=0.001)
    off = ((tree.east_m - 4.6) ** 2 + (tree.north_m - 8.7) ** 2) ** 0.5
    assert off == pytest.approx(5.2578, abs=0.001)


def test_keeping_needs_what_was_seen(client: Client) -> None:
    page = client.post(f"{PLACE}/tapes/", TAPES)
    other = {**TAPES, "tape_1": "14,52 m", "seal": page.context["seal"], "save": "yes"}

    answer = client.post(f"{PLACE}/tapes/", other)

    assert "What would be kept" in answer.content.decode()
    assert not Tree.objects.filter(tag="T40").exists()


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"tape_1": "2 inn"}, "for example 2.5 m, 50 mm, 2 in"),
        ({"tape_1": "1 m"}, "do not meet"),
        ({"tape_1": "12 m", "tape_2": "2,17 m"}, "too flat"),
        ({"species": ""}, "names no species"),
        ({"peg_1": "nowhere"}, "Select a valid choice"),
        ({"side": "left", "tape_1": "7 m", "tape_2": "9 m"}, "off the site"),
        ({"tag": "T 40"}, "letters a to z"),
    ],
)
def test_tapes_that_give_no_tree(client: Client, said: dict[str, str], sentence: str) -> None:
    text = unescape(client.post(f"{PLACE}/tapes/", {**TAPES, **said}).content.decode())

    assert "Put this right first" in text
    assert sentence in text
    assert "Keep this tree" not in text


def test_three_tapes_tell_what_each_is_off_by(client: Client) -> None:
    # From PEG (0, 0), T01 (4.6, 8.7) and T03 (13.4, 8.5) to a place at 9 m east, 12 m north.
    said = {
        **TAPES,
        "side": "",
        "tape_1": "15.00 m",
        "tape_2": "5.50 m",
        "peg_3": "T03",
        "tape_3": "5.62 m",
    }
    text = unescape(client.post(f"{PLACE}/tapes/", said).content.decode())

    assert "What each tape is too long or too short by: PEG" in text
    assert "A new tree T40" in text


AREA = {"code": "E", "name": "East bed", "kind": "bed", "placed_by": "m"}


def test_an_area_by_its_corners_is_shown_and_then_kept(client: Client) -> None:
    said = {**AREA, "corners": "40 1\n50; 1\n50, 4\n40\t4\n"}
    page = client.post(f"{PLACE}/areas/add/", said)
    assert "30 m² inside 4 corners" in page.content.decode()

    kept = client.post(
        f"{PLACE}/areas/add/", {**said, "seal": page.context["seal"], "save": "yes"}, follow=True
    )

    assert "Area E added." in kept.content.decode()
    assert Area.objects.get(code="E").outline == [[40, 1], [50, 1], [50, 4], [40, 4]]


@pytest.mark.parametrize(
    ("corners", "sentence"),
    [
        ("40 1\n50 4\n50 1\n40 4", "crosses itself"),
        ("40 1\n50 1", "at least 3"),
        ("55 1\n70 1\n70 4\n55 4", "30.0 m² lie off the site"),
        ("40 1 9\n50 1\n50 4", "Line 1 is “40 1 9”"),
        ("forty 1\n50 1\n50 4", "cannot be read as a length"),
        ("", "required"),
    ],
)
def test_corners_that_make_no_area(client: Client, corners: str, sentence: str) -> None:
    answer = client.post(f"{PLACE}/areas/add/", {**AREA, "corners": corners})

    assert sentence in unescape(answer.content.decode())
    assert not Area.objects.filter(code="E").exists()


@pytest.mark.parametrize(
    ("placed_by", "corners", "size"),
    [
        # 33 ft by 10 ft: 330 ft² of 0.09290304 m².
        ("foot", "131 3\n164 3\n164 13\n131 13", "30.7 m²"),
        ("m", "131 ft 3 ft\n164 ft 3 ft\n164 ft 13 ft\n131 ft 13 ft", "30.7 m²"),
        # 0.000148° by 0.000027° about latitude 52.78°: 67 478 m and 111 282 m a degree, 30.0 m².
        (
            "degrees",
            "5.2806 52.780010\n5.280748 52.780010\n5.280748 52.780037\n5.2806 52.780037",
            "30 m²",
        ),
    ],
)
def test_corners_in_feet_and_in_degrees(
    client: Client, placed_by: str, corners: str, size: str
) -> None:
    said = {**AREA, "placed_by": placed_by, "corners": corners}
    text = unescape(client.post(f"{PLACE}/areas/add/", said).content.decode())

    assert f"A new area E, East bed: {size} inside 4 corners" in text


def test_pegs_are_added_and_taken_away(client: Client) -> None:
    said = {
        "name": "B",
        "east": "20 m",
        "east_hand": "east",
        "north": "1 ft",
        "north_hand": "south",
    }
    text = client.post(f"{PLACE}/pegs/add/", said, follow=True).content.decode()

    assert "Peg B added." in text
    peg = Peg.objects.get()
    assert (peg.east_m, peg.north_m) == (20.0, -0.305)
    assert "own peg" in client.post(f"{PLACE}/pegs/add/", {**said, "name": "PEG"}).content.decode()
    assert "Peg B taken away." in (
        client.post(f"{PLACE}/pegs/take-away/", {"name": "B"}, follow=True).content.decode()
    )
    assert not Peg.objects.exists()


SITE_SAID = {
    "name": "Small Yard",
    "slug": "Small-Yard",
    "town": "Ellemarre",
    "time_zone": "Europe/Amsterdam",
    "units": "metric",
    "organiser_name": "Friends",
    "peg_latitude": "52.78",
    "peg_longitude": "5.28",
    "placed_by": "m",
    "corners": "0 0\n60 0\n60 40\n0 40",
    "entrance": "Gate",
    "emergency_number": "112",
    "nearest_emergency_department": "Hospital",
    "muster_point": "Gate",
    "shelter": "Shed",
}


def test_a_coordinator_starts_an_empty_site(client: Client) -> None:
    answer = client.post("/sites/start/", SITE_SAID, follow=True)

    assert answer.redirect_chain == [("/small-yard/place/", 302)]
    text = answer.content.decode()
    assert "Small Yard is started." in text
    assert "There is no area yet." in text
    assert 'class="drawing"' in text


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"slug": "traverser-yard"}, "is taken"),
        ({"slug": "sites"}, "is taken"),
        ({"time_zone": "Nowhere"}, "is no time zone"),
        ({"corners": "0 0\n60 40\n60 0\n0 40"}, "crosses itself"),
        ({"peg_latitude": "95"}, "85"),
    ],
)
def test_a_site_that_cannot_be_started(client: Client, said: dict[str, str], sentence: str) -> None:
    before = Site.objects.count()

    text = client.post("/sites/start/", {**SITE_SAID, **said}).content.decode()

    assert sentence in unescape(text)
    assert Site.objects.count() == before


def test_volunteers_start_no_site(sign_in: SignIn) -> None:
    volunteer = sign_in(VOLUNTEER)

    assert volunteer.get("/sites/start/").status_code == HTTPStatus.NOT_FOUND
    assert volunteer.post("/sites/start/", SITE_SAID).status_code == HTTPStatus.NOT_FOUND
    assert "Start another site" not in volunteer.get("/").content.decode()


@pytest.mark.parametrize("page", ["", "tapes/", "areas/add/", "pegs/add/", "import/"])
def test_volunteers_do_not_find_the_pages(sign_in: SignIn, page: str) -> None:
    assert sign_in(VOLUNTEER).get(f"{PLACE}/{page}").status_code == HTTPStatus.NOT_FOUND
    assert sign_in(VOLUNTEER).post(f"{PLACE}/{page}").status_code == HTTPStatus.NOT_FOUND
