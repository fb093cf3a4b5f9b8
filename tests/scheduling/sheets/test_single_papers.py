"""Single sheets, cards, the gate's sheet, the near-miss form and the code to the record page."""

import re
from dataclasses import replace

import pytest
from reportlab.graphics.barcode.qr import QrCodeWidget

from orchard.domain.effort import Effort
from scheduling.sheets.cards import build_cards, render_cards
from scheduling.sheets.codes import QUIET_MODULES
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.paper import MM, Paper
from scheduling.sheets.poster import render_poster
from scheduling.sheets.render import list_sheets, render_day_pack, render_sheet
from tests.scheduling.sheets import packed_day
from tests.scheduling.sheets.reading import page_texts, read_fonts, read_pdf

RECORD = "https://orchard.example/depot/seasons/2027/sessions/S03/record/"
both_papers = pytest.mark.parametrize("paper", list(Paper), ids=lambda paper: paper.name)


@pytest.fixture(scope="module")
def coded(published):
    return build_day_pack(published, record_address=RECORD)


@both_papers
def test_every_sheet_of_the_pack_can_be_had_alone(coded, paper):
    whole = " ".join(page_texts(render_day_pack(coded, paper=paper)))
    keys = [key for key, _ in list_sheets(coded)]

    assert len(set(keys)) == len(keys)
    for key, name in list_sheets(coded):
        alone = render_sheet(coded, key, paper=paper)
        texts = page_texts(alone)
        assert f"page 1 of {len(texts)}" in texts[0]
        assert read_pdf(alone).outline[0].title == name
        body = texts[0].partition("Version 3 ·")[0]
        assert body[:60] in whole


def test_a_sheet_the_pack_has_not_is_none(coded):
    assert render_sheet(coded, "task-Z") is None
    assert render_sheet(coded, "") is None


def test_each_task_sheet_links_to_the_page_where_it_is_typed_in(coded):
    written = render_sheet(coded, "task-A")

    links = [
        annotation.get_object()["/A"]["/URI"]
        for page in read_pdf(written).pages
        for annotation in page.get("/Annots", [])
    ]

    assert links == [RECORD]
    assert len(read_pdf(written).pages) == 1


def test_the_code_has_modules_a_telephone_can_read_and_its_quiet_zone():
    """ISO/IEC 18004: four modules of white; 0.4 mm a module is common practice, no source."""
    from scheduling.sheets.task_page import _CODE

    widget = QrCodeWidget(RECORD, barLevel="M", barBorder=QUIET_MODULES)
    widget.qr.make()

    assert QUIET_MODULES == 4
    assert _CODE / MM / (widget.qr.getModuleCount() + 2 * QUIET_MODULES) >= 0.4


def test_without_an_address_no_code_is_printed(pack):
    written = render_sheet(pack, "task-A")

    assert not [page for page in read_pdf(written).pages if "/Annots" in page]


def test_the_boxes_ask_for_what_the_record_page_asks_in_its_order(coded):
    (text,) = page_texts(render_sheet(coded, "task-A"))
    heads = ["Done, holes", "Adults", "Young people", "Minutes each"]
    places = [text.rindex(head) for head in heads]

    assert places == sorted(places)


@both_papers
def test_everybody_has_one_card_and_no_card_is_cut(published, paper):
    written = render_cards(published, paper=paper)
    texts = page_texts(written)
    cards = build_cards(published)

    assert len(cards) == len(published.people)
    assert sum(text.count("Unsure, tired, hurt") for text in texts) == len(cards)
    for text in texts:  # each page holds whole cards: as many beginnings as ends
        assert text.count("Unsure, tired, hurt") == text.count("Emergency: 112")
    assert {name.partition("+")[2] for name in read_fonts(written)} <= {
        "DejaVuSans",
        "DejaVuSans-Bold",
    }


def test_a_card_says_its_persons_rounds_and_nobody_elses(published):
    person = next(p for p in published.people if "crew lead" in p.roles)
    card = next(card for card in build_cards(published) if card.name == person.name)
    rounds = {a.round for a in published.roster.assignments if a.person == person.id}

    busy = {number for number, line in enumerate(card.rounds) if not line.what.startswith("–")}

    assert busy == rounds
    others = {p.name for p in published.people if "session lead" not in p.roles} - {person.name}
    assert not [name for name in others if name in " ".join(line.what for line in card.rounds)]


def test_cards_of_pupils_carry_a_number_and_come_in_its_order(published):
    numbers = [
        int(card.name.removeprefix("Pupil "))
        for card in build_cards(published)
        if card.name.startswith("Pupil ")
    ]

    assert numbers == sorted(numbers)
    assert numbers


def test_a_long_name_wraps_on_its_card(published):
    long = replace(published.people[0], name="Wolfeschlegelsteinhausen " * 5)
    crowded = replace(published, people=(long, *published.people[1:]))

    texts = " ".join(page_texts(render_cards(crowded)))

    assert texts.count("Wolfeschlegelsteinhausen") == 5


def test_a_roster_without_people_gives_a_page_that_says_so(published):
    empty = replace(published, people=())

    assert "Nobody is on the roster" in page_texts(render_cards(empty))[0]


@both_papers
def test_the_gates_sheet_is_one_page_and_names_no_volunteer(published, paper):
    written = render_poster(published, page_address=RECORD, paper=paper)
    (text,) = page_texts(written)

    for person in published.people:
        words = person.name.split()
        assert not re.search(rf"\b{re.escape(words[0])}\b", text) or words[0].isdecimal()
    for said in ("Volunteers at work today", "Saturday 17 April 2027", "112", "Go to the session"):
        assert said in text
    assert "BURIED SERVICES" in text


def test_the_gates_sheet_warns_of_services_only_where_somebody_bores(published):
    light = tuple(replace(day, task=replace(day.task, cautions=())) for day in published.tasks)

    (text,) = page_texts(render_poster(replace(published, tasks=light)))

    assert "BURIED SERVICES" not in text


def test_the_gates_sheet_speaks_of_open_holes_only_when_ground_is_opened(published):
    closed = tuple(
        replace(day, task=replace(day.task, opens_ground=False)) for day in published.tasks
    )

    assert "Holes may be open" in page_texts(render_poster(published))[0]
    (text,) = page_texts(render_poster(replace(published, tasks=closed)))
    assert "Holes may be open" not in text
    assert "keep to the paths" in text


@both_papers
def test_the_near_miss_form_is_one_page_with_room_to_write(coded, paper):
    (text,) = page_texts(render_sheet(coded, "near-miss", paper=paper))

    for said in ("nobody is blamed", "What would keep it from happening again", "local law"):
        assert said in text


def test_a_pack_that_is_out_of_date_says_so_on_every_page_and_whom_it_concerns(published):
    stale = replace(published, changed_since=("On the roster and no longer signed up: Ana M.",))

    texts = page_texts(render_day_pack(build_day_pack(stale)))

    assert all("OUT OF DATE · Version 3" in text for text in texts)
    assert "no longer signed up: Ana M." in texts[0]
    assert "publish the roster again" in texts[0]


def test_effort_is_not_what_the_papers_are_made_of(published):
    """The same papers whatever the estimate: a sheet changes only with what it says."""
    slower = tuple(
        replace(day, task=replace(day.task, effort=Effort(1, 2, 3))) for day in published.tasks
    )

    assert render_cards(replace(published, tasks=slower)) == render_cards(published)
    assert packed_day.build_published() == published
