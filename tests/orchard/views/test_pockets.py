"""Pockets: drawn by tape, three numbers, holes refused or moved, proposals, the printed page."""

import math
import re
from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import HoleRecord, Peg, Pocket, Site
from orchard.queries.pocket_layouts import find_pocket_layout
from tests.scheduling.sheets.reading import page_texts
from tests.signed_in import COORDINATOR, LEAD, SITE, VOLUNTEER, SignIn

P1 = f"{SITE}/pockets/P1"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


def layout(code: str = "P1"):
    found = find_pocket_layout(Site.objects.get(slug="traverser-yard").pk, code)
    assert found is not None
    return found


def test_count_and_the_two_shares_are_three_numbers(client: Client) -> None:
    """Shares by hand: 240 mouths of 75 mm in 21.59 m², and 21.59 m² of the area's 397.5 m²."""
    text = read(client, f"{P1}/")

    mouths_m2 = 240 * math.pi * 0.075**2 / 4
    assert "<dd>240</dd>" in text
    assert f"<dd>{mouths_m2 / 21.59:.1%}</dd>".replace("%", " %") in text
    assert f"<dd>{21.59 / 397.5:.1%}</dd>".replace("%", " %") in text


def test_a_pocket_is_drawn_by_two_tapes(client: Client) -> None:
    """A 3-4-5 triangle: 20 m from the site's peg and √(8² + 16²) from one 20 m east is 12, 16."""
    site = Site.objects.get(slug="traverser-yard")
    Peg.objects.create(site=site, name="E", east_m=20, north_m=0)
    given = {
        "code": "P9",
        "name": "by tape",
        "area": "A",
        "way": "tapes",
        "peg_1": "site peg",
        "peg_2": "E",
        "side": "left",
        "corners": "16,492; 22,627\n20 17.889\n 14.422 m; 11.314 m",
    }

    client.post(f"{SITE}/draw-a-pocket/", given)

    corners = Pocket.objects.get(code="P9").outline
    assert [[round(x, 2), round(y, 2)] for x, y in corners] == [[4, 16], [12, 16], [12, 8]]


def test_corners_in_feet_are_metres_inside(client: Client) -> None:
    given = {
        "code": "P8",
        "name": "in feet",
        "area": "A",
        "way": "metres",
        "corners": "10 ft 25 ft\n16 ft 25 ft\n16 ft 30 ft\n10 ft 30 ft",
    }

    client.post(f"{SITE}/draw-a-pocket/", given)

    # International foot: 0.3048 m.
    assert Pocket.objects.get(code="P8").outline[0] == pytest.approx([3.048, 7.62], abs=0.001)


@pytest.mark.parametrize(
    ("corners", "sentence"),
    [
        ("3 8\n9 8", "Give at least three"),
        ("3 8\n9 14\n9 8\n3 14", "cross"),
        ("15 11\n21 11\n21 15", "overlap"),
        ("100 100\n110 100\n110 110", "wholly outside"),
        ("3 8\n9", "Write two numbers for each corner"),
    ],
)
def test_a_pocket_that_cannot_be_is_a_sentence(client: Client, corners: str, sentence: str) -> None:
    given = {"code": "P9", "name": "x", "area": "A", "way": "metres", "corners": corners}

    text = unescape(client.post(f"{SITE}/draw-a-pocket/", given).content.decode())

    assert sentence in text
    assert not Pocket.objects.filter(code="P9").exists()


def test_a_refused_hole_is_out_and_its_place_is_taken_nearby(sign_in: SignIn) -> None:
    before = layout()
    at = next(hole.at for hole in before.layout.holes if hole.name == "F10")
    lead = sign_in(LEAD)

    lead.post(f"{P1}/holes/", {"name": "F10", "reason": "root over 25 mm", "on": "2027-01-30"})

    after = layout()
    names = {hole.name: hole.at for hole in after.layout.holes}
    assert "F10" not in names
    assert "F10b" in names
    others = [place for name, place in names.items() if name != "F10b"]
    # Core's rule: at least 0.7 of the 0.3 m spacing from every other hole, 0.15 m off the root.
    assert min(math.dist(names["F10b"], place) for place in others) >= 0.7 * 0.3 - 1e-6
    assert math.dist(names["F10b"], at) >= 0.15 - 1e-6
    text = read(lead, f"{P1}/")
    assert "F10 is out (root over 25 mm); F10b takes its place." in text
    assert any(run.names == "F10b" for run in after.rows)
    assert not any(
        run.first.name <= "F10" <= run.last.name and run.count > 20 for run in after.rows
    )


def test_a_hole_added_may_be_refused_too_and_never_goes_back_on_the_root(client: Client) -> None:
    at = next(hole.at for hole in layout().layout.holes if hole.name == "F10")
    for name in ("F10", "F10b"):
        client.post(f"{P1}/holes/", {"name": name, "reason": "rubble", "on": "2027-01-30"})

    names = {hole.name: hole.at for hole in layout().layout.holes}

    assert {"F10", "F10b"}.isdisjoint(names)
    assert not any(name.startswith("refused") for name in names)
    assert min(math.dist(at, place) for place in names.values()) >= 0.15 - 1e-6
    assert len(names) in (239, 240)


def test_a_moved_hole_stands_where_it_was_bored(client: Client) -> None:
    at = next(hole.at for hole in layout().layout.holes if hole.name == "G5")
    given = {"name": "G5", "reason": "rubble", "on": "2027-01-30", "moved_east_m": "10 cm"}

    client.post(f"{P1}/holes/", given)

    moved = next(hole.at for hole in layout().layout.holes if hole.name == "G5")
    assert moved == pytest.approx((at[0] + 0.1, at[1]), abs=1e-6)
    assert "G5 stands 10 cm from its place." in read(client, f"{P1}/")


def test_a_hole_moved_out_of_the_pocket_is_refused_and_not_kept(client: Client) -> None:
    given = {"name": "A1", "reason": "rubble", "on": "2027-01-30", "moved_north_m": "1.5"}

    text = unescape(client.post(f"{P1}/holes/", given).content.decode())

    assert "moved out of the ground that may be bored" in text
    assert not HoleRecord.objects.exists()


def test_records_of_an_earlier_layout_are_said_to_be_so(client: Client) -> None:
    from orchard.models import PlanTreatment

    client.post(f"{P1}/holes/", {"name": "F10", "reason": "rubble", "on": "2027-01-30"})
    line = PlanTreatment.objects.get(key="pockets-spring")
    line.parameters["spacing_mm"] = 437
    line.save()

    assert [note.of_this_layout for note in layout().notes] == [False]
    assert "an earlier one" in read(client, f"{P1}/")
    record = HoleRecord.objects.get()
    client.post(f"{P1}/holes/{record.pk}/take-away/")
    assert not HoleRecord.objects.exists()


def test_holes_bored_are_named_and_leave_the_table(sign_in: SignIn) -> None:
    lead = sign_in(LEAD)
    given = {"names": "a1 to A5, B3", "bored_on": "2027-01-30"}

    lead.post(f"{P1}/bored/", given)

    assert layout().bored == ("A1", "A2", "A3", "A4", "A5", "B3")
    text = read(lead, f"{P1}/")
    assert "6 of 240 holes are bored: A1 to A5 and B3." in text
    names = {row.name for row in layout().setting_out.rows}
    assert names.isdisjoint({"A1", "B3"})
    assert "A6" in names
    text = unescape(lead.post(f"{P1}/bored/", {**given, "names": "Z99"}).content.decode())
    assert "There is no hole “Z99”" in text


def test_only_who_may_record_names_holes(sign_in: SignIn) -> None:
    answer = sign_in(VOLUNTEER).post(f"{P1}/bored/", {"names": "A1", "bored_on": "2027-01-30"})

    assert answer.status_code == HTTPStatus.NOT_FOUND
    assert not HoleRecord.objects.exists()


def test_a_pocket_in_the_plan_stays(client: Client) -> None:
    answer = client.post(f"{P1}/take-away/", follow=True)

    assert "Pocket P1 is in the plan (TY-27, line pockets-spring)." in unescape(
        answer.content.decode()
    )
    assert Pocket.objects.filter(code="P1").exists()


def test_proposals_are_shown_then_kept(client: Client) -> None:
    asked = {"area": "A", "count": "2", "pocket_m2": "10", "rate": "clay-cap"}
    text = unescape(client.get(f"{SITE}/propose-pockets/", asked).content.decode())

    assert "No placing can do better than" in text
    # Butt et al. 1999: 0.46 m a year, so 0.46, 1.38, 2.30 and 4.60 m after 1, 3, 5 and 10 years.
    assert [m for m in ("0.46", "1.38", "2.30", "4.60") if f">{m}</td>" in text] == [
        "0.46",
        "1.38",
        "2.30",
        "4.60",
    ]
    assert Pocket.objects.count() == 4
    client.post(f"{SITE}/propose-pockets/draw/", asked)
    assert sorted(Pocket.objects.values_list("code", flat=True)) == [
        "P1", "P2", "P3", "P4", "P5", "P6",
    ]  # fmt: skip


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("pocket", ["P1", "P2", "P3", "P4"])
def test_a_pocket_prints_on_one_page_that_reads_back(
    client: Client, pocket: str, paper: str
) -> None:
    answer = client.get(f"{SITE}/pockets/{pocket}/sheet-{paper}.pdf")

    assert answer.headers["Content-Type"] == "application/pdf"
    (text,) = page_texts(answer.content)
    found = layout(pocket)
    assert f"Pocket {pocket}" in text
    assert f"{len(found.layout.holes)} holes" in text
    assert f"{found.setting_out.base_m:.2f} m" in text
    for run in found.rows:
        assert run.names in text
        assert f"{run.offset_m:.2f}" in text
    assert re.search(r"1 : (50|100)", text)
    assert "Stop at a root over 25 mm" in text


def test_the_page_warns_where_a_building_stood(client: Client) -> None:
    (text,) = page_texts(client.get(f"{SITE}/pockets/P2/sheet-a4.pdf").content)

    assert "Nobody under 18 opens this ground yet" in " ".join(text.split())


def test_a_pocket_without_room_says_so_instead_of_a_page(client: Client) -> None:
    Pocket.objects.filter(code="P4").update(outline=[[4, 22], [8, 22], [8, 23], [4, 23]])

    answer = client.get(f"{SITE}/pockets/P4/sheet-a4.pdf")

    assert answer.status_code == HTTPStatus.CONFLICT
    assert "No hole of 75 mm fits in pocket P4" in answer.content.decode()
    assert client.get(f"{SITE}/pockets/P4/").status_code == HTTPStatus.OK
    assert client.get(f"{SITE}/pockets/P4/sheet-a3.pdf").status_code == HTTPStatus.NOT_FOUND
