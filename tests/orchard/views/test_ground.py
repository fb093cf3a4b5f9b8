"""The ground's pages: who may, verdicts with their evidence, readings, past use, the drawing."""

from datetime import date
from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import Area, Reading
from tests.signed_in import COORDINATOR, LEAD, SITE, STRANGER, VOLUNTEER, SignIn

GROUND = f"{SITE}/ground"
READ_ONLY = [
    f"{GROUND}/",
    f"{GROUND}/readings/",
    f"{GROUND}/areas/A/",
    f"{GROUND}/drawing/",
    f"{SITE}/pockets/",
    f"{SITE}/pockets/P1/",
    f"{SITE}/pockets/P1/sheet-a4.pdf",
    f"{SITE}/propose-pockets/",
    f"{SITE}/locates/",
]
COORDINATORS = [
    f"{GROUND}/areas/A/past/",
    f"{GROUND}/areas/A/read/penetrometer/",
    f"{SITE}/draw-a-pocket/",
    f"{SITE}/pockets/P1/draw/",
    f"{SITE}/locates/add/",
    f"{SITE}/methods/",
    f"{SITE}/methods/fit/",
    f"{SITE}/methods/area-A/plot.svg",
    f"{SITE}/store/",
    f"{SITE}/store/tools/",
    f"{SITE}/store/add-delivery/",
]


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


@pytest.mark.parametrize("address", READ_ONLY + COORDINATORS)
def test_doors(sign_in: SignIn, address: str) -> None:
    answers = {
        who: sign_in(who).get(address).status_code
        for who in (COORDINATOR, LEAD, VOLUNTEER, STRANGER)
    }

    closed = HTTPStatus.NOT_FOUND
    assert answers == {
        COORDINATOR: HTTPStatus.OK,
        LEAD: HTTPStatus.OK if address in READ_ONLY else closed,
        VOLUNTEER: closed,
        STRANGER: closed,
    }


def test_an_areas_page_shows_evidence_missing_and_next_steps(client: Client) -> None:
    text = read(client, f"{GROUND}/areas/A/")

    assert "Wheel-lathe lawn (A): hindered" in text
    assert "middle 1.80 MPa, hindered for roots" in text  # 200 to 300 psi, Cornell NRCCA PO 35
    assert "Cornell NRCCA PO 35" in text
    assert "What is missing" in text
    assert "A percolation test" in text


def test_a_dry_reading_is_set_aside(client: Client) -> None:
    """Only at field capacity does a penetrometer count (Cornell NRCCA PO 35)."""
    text = read(client, f"{GROUND}/areas/C/")

    assert "(set aside)" in text
    assert "R12" in text


def test_young_people_wait_for_a_soil_test_where_a_building_stood(client: Client) -> None:
    """EPA, Brownfields and Urban Agriculture (2011): previous use, then sampling."""
    assert "Nobody under 18 opens this ground yet" in read(client, f"{GROUND}/").replace(
        "nobody under 18", "Nobody under 18"
    )
    client.post(
        f"{GROUND}/areas/B/past/",
        {
            "past_use": "paint shop",
            "was_building": "on",
            "soil_test_on": "2027-01-20",
            "soil_test_clear": "yes",
        },
    )
    assert "soil test 2027-01-20 clear" in read(client, f"{GROUND}/areas/B/")
    client.post(
        f"{GROUND}/areas/B/past/",
        {
            "past_use": "paint shop",
            "was_building": "on",
            "soil_test_on": "2027-01-20",
            "soil_test_clear": "no",
        },
    )
    assert "nobody opens this ground" in read(client, f"{GROUND}/areas/B/")
    refused = client.post(
        f"{GROUND}/areas/B/past/", {"past_use": "x", "soil_test_clear": "yes"}
    ).content.decode()
    assert "Give the day of the test." in refused


ONE_OF_EACH = {
    "penetrometer": (
        {"moisture": "moist", "at_0": "250 psi", "at_1": "2,9", "stopped_cm": "9 in"},
        "MPa at 7.5 cm: 1.72, 15 cm: 2.90, 22.86 cm: stopped",
    ),
    "bulk-density": (
        {
            "texture": "clay",
            "diameter_cm": "3 in",
            "height_cm": "7.62",
            "depth_cm": "15",
            "dry_mass_g": "556",
        },
        # USDA NRCS: a core 7.62 cm wide and high with 556 g dry is 1.600 g/cm³.
        "1.60 g/cm³ at 15 cm, clay",
    ),
    "percolation": (
        {"hole": "12 in (30 cm) deep", "soaked_first": "on", "hours_to_drain": "8"},
        "empty after 8 h",
    ),
    "spade-test": (
        {"moisture": "moist", "thickness_0": "10", "score_0": "2", "thickness_1": "15",
         "score_1": "4,5", "worms": "3"},
        "scores from the top: 10 cm: 2; 15 cm: 4.5; 3 worms",
    ),
    "texture": (
        {"makes_ball": "on", "ribbon_cm": "6", "feel": "neither gritty nor smooth"},
        "ribbon of 6 cm",
    ),
    "workability": (
        {"squeeze": "the ball crumbles", "thread": "it crumbles before 3 mm"},
        "the ball crumbles; it crumbles before 3 mm",
    ),
    "laboratory": ({"ph": "6.4", "organic_matter_percent": "3"}, "pH 6.4, organic matter 3 %"),
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(ONE_OF_EACH))
def test_each_kind_of_reading_is_kept_and_shown(client: Client, kind: str) -> None:
    given, words = ONE_OF_EACH[kind]

    said = {"on": "2027-01-30", "note": "by the gate", **given}
    client.post(f"{GROUND}/areas/BAY/read/{kind}/", said)

    row = Reading.objects.get(area__code="BAY")
    assert (row.code, row.on, row.by.email) == ("R16", date(2027, 1, 30), COORDINATOR)
    text = read(client, f"{GROUND}/areas/BAY/")
    assert words in text
    assert "by the gate" in text
    client.post(f"{GROUND}/areas/BAY/readings/{row.pk}/take-away/")
    assert not Reading.objects.filter(pk=row.pk).exists()


@pytest.mark.parametrize(
    ("kind", "given", "sentence"),
    [
        ("penetrometer", {"moisture": "moist"}, "Write the reading of one depth at least."),
        ("penetrometer", {"moisture": "moist", "at_0": "2 inn"}, "cannot be read as a pressure"),
        ("penetrometer", {"moisture": "moist", "at_0": "50"}, "is outside what can be"),
        (
            "bulk-density",
            {"texture": "clay", "diameter_cm": "5", "height_cm": "5", "depth_cm": "10",
             "dry_mass_g": "900"},
            "soil lies between 0.2 and 2.65",
        ),
        ("percolation", {"hole": "12 in (30 cm) deep"}, "one of the two"),
        ("spade-test", {"moisture": "moist", "thickness_0": "10"}, "both its thickness and"),
        ("laboratory", {}, "Write one figure at least."),
        ("texture", {"ribbon_cm": "2", "feel": "gritty", "on": "2027-02-02"}, "still to come"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_answered_by_a_sentence(
    client: Client, kind: str, given: dict[str, str], sentence: str
) -> None:
    answer = client.post(f"{GROUND}/areas/A/read/{kind}/", {"on": "2027-01-30", **given})

    text = unescape(answer.content.decode())
    assert "Put this right first" in text
    assert sentence in text
    assert not Reading.objects.filter(by__isnull=False).exists()


def test_showing_how_figures_are_understood_keeps_nothing(client: Client) -> None:
    given = {"on": "2027-01-30", "moisture": "moist", "at_0": "300 psi", "show": "1"}

    text = unescape(client.post(f"{GROUND}/areas/A/read/penetrometer/", given).content.decode())

    assert "300 psi is 2.068 MPa." in text  # Cornell NRCCA PO 35: 300 psi -> 2.068 MPa
    assert not Reading.objects.filter(by__isnull=False).exists()


def test_a_reading_changes_the_verdict_and_the_boring(client: Client) -> None:
    from orchard.domain.place import Hardness
    from orchard.queries.plans import load_hardness

    site_id = Area.objects.get(code="D").site_id
    hard = {"on": "2027-01-30", "moisture": "moist", "at_0": "3.5", "at_1": "3.6", "at_2": "4"}
    for _ in range(3):
        client.post(f"{GROUND}/areas/D/read/penetrometer/", hard)

    assert {one.area: one.hardness for one in load_hardness(site_id)}["D"] is Hardness.HARD


def test_the_drawing_has_layers_parts_and_words(client: Client) -> None:
    client.post(
        f"{GROUND}/areas/A/read/texture/",
        {"on": "2027-01-30", "ribbon_cm": "2", "feel": "gritty", "makes_ball": "on",
         "east_m": "10", "north_m": "12"},
    )  # fmt: skip
    whole = read(client, f"{GROUND}/drawing/")
    part = read(client, f"{GROUND}/drawing/?part=pocket-P3")

    for layer in ("trees", "pockets", "holes", "readings", "buried-services", "names"):
        assert f'id="show-{layer}"' in whole
        assert f"layer-{layer}" in whole
    assert "1 : 500" in whole
    assert "1 : 50<" in part
    assert ">R16<" in read(client, f"{GROUND}/drawing/?part=9,11,12,13")
    assert "1 of 16 readings say where they were taken." in whole
    assert "The site Traverser Yard Orchard measures 60 m" in whole
    assert "Pocket P3 and what lies" in part
    assert "The site Traverser Yard Orchard measures" not in part
    assert "<script" not in whole


@pytest.mark.parametrize("part", ["nowhere", "area-X", "1,2,3", "9,9,1,1", "nan,0,1,1", "<script>"])
def test_a_part_that_cannot_be_read_shows_the_whole(client: Client, part: str) -> None:
    answer = client.get(f"{GROUND}/drawing/", {"part": part})

    assert answer.status_code == HTTPStatus.OK
    assert "1 : 500" in answer.content.decode()
