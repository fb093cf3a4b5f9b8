"""A day pack on a site in US units: every word, table and scale; both papers."""

import re
from dataclasses import replace

import pytest

from orchard.domain.boreholes import build_tape_pairs, find_pegs
from orchard.domain.units import Dimension, System, parse_quantity
from scheduling.domain.published import PublishedRoster
from scheduling.sheets.cards import build_cards
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.paper import Paper
from scheduling.sheets.parts import DayPack
from scheduling.sheets.render import render_day_pack
from scheduling.sheets.words import count_words, volume_words
from tests.scheduling.sheets.reading import page_texts

METRIC = re.compile(r"(?<![\w.])\d[\d,.]* ?(?:mm|cm|m|m²|m³|L|kg|litres?|°C)(?![\w²³])")
# What stands in both: “4 in (100 mm)”, and what a person typed as a direction.
BOTH = re.compile(r"\d[\d,.]* [\w ]{1,6} \([\d.,]+ [\w²³]+\)")


@pytest.fixture(scope="module")
def us(published: PublishedRoster) -> PublishedRoster:
    first, *rest = published.tasks
    titled = replace(
        first.task,
        title="Bore 12 holes, 450 mm deep",
        steps=("Bore to 450 mm, then roughen the wall.",),
    )
    return replace(published, system=System.US, tasks=(replace(first, task=titled), *rest))


@pytest.fixture(scope="module")
def us_pack(us: PublishedRoster) -> DayPack:
    return build_day_pack(us)


def test_tasks_say_feet_and_inches(us_pack: DayPack) -> None:
    sheet = us_pack.task_sheets[0]
    # 450 mm / 25.4 = 17.72 in.
    assert (sheet.title, sheet.steps) == (
        "Bore 12 holes, 18 in deep",
        ("Bore to 18 in, then roughen the wall.",),
    )
    assert sheet.drawing.system is us_pack.site_drawing.system is System.US


def test_materials_are_gallons_pounds_and_bags_as_sold(us_pack: DayPack) -> None:
    (compost,) = us_pack.kit.materials
    # 696 L / 764.555 L = 0.910 -> 1.0 cu yd rounded up; 431.52 kg / 0.45359237 = 951.3 -> 952 lb;
    # a bag of 40 L is 1.41 cu ft (1 ft³ = 28.3168 L); factors of NIST SP 811.
    assert (compost.volume, compost.weight) == ("1.0 cu yd", "952 lb")
    assert compost.bags == "18 of 1.41 cu ft (40 L)"


def test_tools_have_both_sizes_their_own_first(us_pack: DayPack) -> None:
    assert "4 in (100 mm)" in " ".join(line.name for line in us_pack.kit.tools)


def test_counts_of_ground_are_turned_and_counts_of_things_are_not() -> None:
    # 8 m² / 0.09290304 = 86.1 sq ft; 380 L / 3.785412 = 100.4 -> 101 gal.
    assert count_words(8, "m²", System.US) == "86 sq ft"
    assert count_words(12, "hole", System.US) == "12 holes"
    assert count_words(8, "m²", System.METRIC) == "8 m²"
    assert volume_words(380, System.US) == "101 gal"
    assert volume_words(380) == "380 litres"


def test_the_setting_out_table_is_read_on_a_tape_in_inches(
    us: PublishedRoster, us_pack: DayPack
) -> None:
    (sheet,) = us_pack.setting_out
    pocket = next(one for one in us.pockets if one.code == sheet.pocket)
    holes = us.tasks[0].task.holes
    exact = {pair.number: pair for pair in build_tape_pairs(holes, *find_pegs(pocket))}
    assert len(sheet.lines) == len(holes)
    for line in sheet.lines:
        pair = exact[int(re.split("\u00a0| ", line.hole)[0])]
        for words, length_m in ((line.from_a, pair.from_a_m), (line.from_b, pair.from_b_m)):
            read_m = parse_quantity(words.replace("\u00a0", " "), Dimension.LENGTH)
            assert abs(read_m - length_m) < 0.0033  # half of a quarter inch


@pytest.mark.parametrize("paper", list(Paper), ids=lambda paper: paper.name)
def test_no_page_of_the_pack_shows_a_bare_metric_number(us_pack: DayPack, paper: Paper) -> None:
    texts = page_texts(render_day_pack(us_pack, paper=paper))
    wrong = [
        found[0]
        for text in texts
        for found in METRIC.finditer(BOTH.sub(" ", re.sub(r"\s+", " ", text)))
    ]
    # Typed by a person: the way to the hospital.
    assert [words for words in wrong if words != "4 km"] == []
    assert "' " in " ".join(texts).replace("\u00a0", " ")


def test_cards_say_the_tasks_in_the_sites_units(us: PublishedRoster) -> None:
    words = " ".join(line.what for card in build_cards(us) for line in card.rounds)
    assert "18 in deep" in words
    assert "mm" not in words


def test_a_metric_pack_has_no_feet(pack: DayPack) -> None:
    texts = " ".join(page_texts(render_day_pack(pack)))
    assert not re.search(r"\d (?:ft|sq ft|lb|gal|cu yd)\b(?!\))", BOTH.sub(" ", texts))
