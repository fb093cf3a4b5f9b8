"""The day pack as a PDF, read back by another program."""

import re
from dataclasses import replace

import pytest

from orchard.domain.place import Tree
from scheduling.domain.people import PersonId
from scheduling.domain.published import RosterPerson
from scheduling.domain.roster import Roster
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.paper import READ_OUTDOORS_PT, Paper
from scheduling.sheets.parts import DayPack
from scheduling.sheets.render import render_day_pack
from tests.scheduling.sheets import large_day, packed_day
from tests.scheduling.sheets.reading import (
    find_page,
    find_task_page,
    page_texts,
    read_fonts,
    read_pdf,
    read_shapes,
)

HOSTILE = "Tom & <b>Jerry</b> <para> " + "Wolfeschlegel-" * 7  # 124 characters


@pytest.fixture(scope="module", params=list(Paper), ids=lambda paper: paper.name)
def paper(request) -> Paper:
    return request.param


@pytest.fixture(scope="module")
def printed(pack, paper) -> bytes:
    return render_day_pack(pack, paper=paper)


def squeeze(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_the_paper_has_its_standard_size(printed, paper):
    # ISO 216: A4 is 210 mm by 297 mm. ANSI Letter is 8.5 in by 11 in (215.9 mm by 279.4 mm).
    size = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}[paper]
    for page in read_pdf(printed).pages:
        found = (float(page.mediabox.width), float(page.mediabox.height))
        assert [points / 72 * 25.4 for points in found] == pytest.approx(size, abs=0.01)


def test_every_page_has_its_number_of_how_many_its_version_and_its_time(printed):
    texts = page_texts(printed)
    for number, text in enumerate(texts, 1):
        assert f"page {number} of {len(texts)}" in text
        assert "Version 3 · published 12 April 2027 18:04" in text


def test_names_in_four_scripts_are_read_back(printed):
    text = " ".join(page_texts(printed))
    for name in packed_day.ADULTS:
        assert name in text


def test_quantities_are_read_back(printed):
    text = page_texts(printed)[find_task_page(printed, "C Spread compost")]
    for words in (
        "12 m² today",
        "10 barrows",
        "600 litres",
        "2 × Wheelbarrow",
        "5 × Pair of gloves",
    ):
        assert words in text


def test_pupils_are_nowhere_named(printed):
    text = " ".join(page_texts(printed))
    assert "Pupil " not in text
    assert "Class 7b: 12 pupils" in text


def test_every_font_is_embedded_and_is_ours(printed):
    fonts = read_fonts(printed)
    assert all(fonts.values()), fonts
    assert {name.partition("+")[2] for name in fonts} == {"DejaVuSans", "DejaVuSans-Bold"}


def test_it_has_language_title_and_a_bookmark_for_every_part(printed):
    reader = read_pdf(printed)
    assert reader.trailer["/Root"]["/Lang"] == "en"
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/DisplayDocTitle"]
    assert reader.metadata.title == "Day pack: Spring session 3"
    flat = []

    def walk(items):
        for item in items:
            if isinstance(item, list):
                walk(item)
            else:
                flat.append((item.title, reader.get_destination_page_number(item)))

    walk(reader.outline)
    titles = [title for title, _ in flat]
    for title in ("Briefing", "Map of the day", "Roster", "Kit list", "Sign-in sheet",
                  "Close-out sheet", "Task A: Bore holes 1 to 42 of pocket P1"):  # fmt: skip
        assert title in titles
    texts = page_texts(printed)
    assert "Sign-in sheet" in texts[dict(flat)["Sign-in sheet"]]
    assert "Weed the ring of tree T20" in texts[dict(flat)["Task D: Weed the ring of tree T20"]]


def test_the_same_pack_gives_the_same_bytes(pack, printed, paper):
    assert render_day_pack(pack, paper=paper) == printed
    again = build_day_pack(packed_day.build_published())
    assert render_day_pack(again, paper=paper) == printed


def test_each_task_sheet_fits_one_page(printed):
    texts = page_texts(printed)
    starts = [find_task_page(printed, words) for words in
              ("A Bore holes", "B Fill holes", "C Spread compost", "D Weed the ring")]  # fmt: skip
    assert starts == list(range(starts[0], starts[0] + 4))
    assert "Setting out pocket P1" in texts[starts[0] + 4]
    for start in starts:
        assert "Stop and call the lead when" in texts[start]
        assert "Lead's initials" in texts[start]


def test_what_is_read_outdoors_is_12_pt_or_more(printed):
    page = read_pdf(printed).pages[find_task_page(printed, "A Bore holes")]
    small = []

    def visit(text, cm, tm, _font, size):
        # The drawing is set in millimetres under a scaled matrix; the foot lies below 22 mm.
        on_sheet = cm[0] == pytest.approx(1) and tm[5] * cm[3] + cm[5] > 62
        if text.strip() and on_sheet and size < READ_OUTDOORS_PT:
            small.append((text, size))

    assert "Gloves on" in page.extract_text(visitor_text=visit)
    assert small == []


def test_black_and_white_only(printed):
    for page in read_pdf(printed).pages:
        content = page.get_contents().get_data().decode("latin-1")
        # ISO 32000-1 table 74: rg/RG set RGB, k/K CMYK.
        for red, green, blue in re.findall(r"([\d.]+) ([\d.]+) ([\d.]+) (?:rg|RG)\b", content):
            assert red == green == blue
        assert not re.search(r"[\d.]+ [\d.]+ [\d.]+ [\d.]+ [kK]\b", content)


def test_the_map_is_true_to_scale(printed):
    number = find_page(printed, "where today's work lies")
    assert "1 : 500" in page_texts(printed)[number]
    rectangles, circles = read_shapes(printed, number)
    place = packed_day.build_place()
    # ISO 5455: a canopy of 1.8 m radius is 3.6 mm at 1:500.
    radii = {round(radius, 2) for _, _, radius in circles}
    assert {round(tree.canopy_radius_m * 2, 2) for tree in place.trees} <= radii
    halves = [width for _, _, width, height in rectangles if abs(height - 1.6) < 0.01]
    assert halves == pytest.approx([20.0, 20.0], abs=0.01)  # 20 m at 1:500 is 40 mm


def test_holes_on_the_setting_out_sheet_are_true_to_scale(printed, published):
    number = find_page(printed, "Setting out pocket P1")
    text = page_texts(printed)[number]
    scale = int(re.search(r"1 : (\d+)", text).group(1))
    rectangles, circles = read_shapes(printed, number)
    holes = published.tasks[0].task.holes
    radius_mm = max(0.05 * 1000 / scale, 0.8)
    found = [(x, y) for x, y, radius in circles if abs(radius - radius_mm) < 0.005]
    assert len(found) == len(holes)
    for (x, y), hole in zip(found, holes, strict=True):
        east = (hole.at[0] - holes[0].at[0]) * 1000 / scale
        north = (hole.at[1] - holes[0].at[1]) * 1000 / scale
        assert (x - found[0][0], y - found[0][1]) == pytest.approx((east, north), abs=0.02)
    bar = sum(width for _, _, width, height in rectangles if abs(height - 1.6) < 0.01)
    stated = float(re.search(r"the bar must measure ([\d.]+) mm", text).group(1))
    metres = float(re.search(r"([\d.]+) m 1 : ", text).group(1))
    assert bar == pytest.approx(stated, abs=0.01)
    assert metres * 1000 / scale == pytest.approx(stated)


def test_a_long_name_with_markup_wraps_and_stays_words(published, paper):
    people = tuple(
        replace(person, name=HOSTILE) if person.name == "Oskar B." else person
        for person in published.people
    )
    session = replace(published.session, title=f"Spring & <i>{HOSTILE}", purpose=HOSTILE)
    data = render_day_pack(
        build_day_pack(replace(published, people=people, session=session)), paper=paper
    )
    texts = page_texts(data)
    assert squeeze(HOSTILE) in squeeze(texts[find_task_page(data, "A Bore holes")])
    assert squeeze(HOSTILE) in squeeze(texts[find_page(data, "Sign-in sheet")])
    assert all("Version 3 · published 12 April 2027 18:04" in text for text in texts)
    assert all(re.search(rf"… page \d+ of {len(texts)}", text) for text in texts)


def test_a_crowded_task_loses_nothing(published):
    crowd = tuple(
        RosterPerson(PersonId(1000 + n), f"{HOSTILE[:100]} {n:02d}", False, ()) for n in range(12)
    )
    entry = published.tasks[0]
    entry = replace(
        entry,
        task=replace(
            entry.task,
            steps=tuple(f"Step {n}: {'work with care and look about you ' * 5}" for n in range(7)),
            trees=tuple(f"T{n:03d}" for n in range(400)),
        ),
    )
    assignments = tuple(
        replace(published.roster.assignments[0], person=person.id, round=r, task=entry.id)
        for person in crowd
        for r in range(4)
    )
    data = render_day_pack(
        build_day_pack(
            replace(published, people=crowd, tasks=(entry,), roster=Roster(assignments, ()))
        )
    )
    text = squeeze(" ".join(page_texts(data)))
    for words in ("T399", "Step 6:", "Stop and call the lead when", *(p.name for p in crowd)):
        assert squeeze(words) in text


def test_an_empty_day_prints(published, paper):
    empty = replace(published, people=(), tasks=(), roster=Roster((), ()))
    data = render_day_pack(build_day_pack(empty), paper=paper)
    assert "No crew works in this round." in " ".join(page_texts(data))


def test_table_heads_come_again_on_every_page(published, paper):
    people = tuple(
        RosterPerson(PersonId(n), f"Volunteer {n:03d}", False, ()) for n in range(1, 121)
    )
    data = render_day_pack(
        build_day_pack(replace(published, people=people, roster=Roster((), ()))), paper=paper
    )
    texts = page_texts(data)
    first = find_page(data, "Sign-in sheet")
    pages = [text for text in texts[first:] if re.search(r"Volunteer \d{3}", text)]
    assert len(pages) >= 4
    assert all("Collected by, at" in page and "Came" in page for page in pages)
    assert all(f"Volunteer {n:03d}" in " ".join(pages) for n in range(1, 121))


def test_a_day_of_40_people_20_tasks_and_300_holes_prints():
    large = large_day.build_large()
    assert sum(len(e.task.holes) for e in large.tasks if e.task.opens_ground) == 300
    data = render_day_pack(build_day_pack(large))
    texts = page_texts(data)
    text = " ".join(texts)
    assert f"page {len(texts)} of {len(texts)}" in texts[-1]
    assert all(person.name in text for person in large.people)
    assert all(f"{entry.task.title}" in text for entry in large.tasks)


def test_a_round_that_runs_on_to_another_page_says_which_round_it_is():
    data = render_day_pack(build_day_pack(large_day.build_large()))
    texts = page_texts(data)
    pages = texts[find_page(data, "Crew, lead first") : find_page(data, "Find your name")]
    assert len(pages) > 1
    for text in pages:
        assert re.search(r"Round \d: task", text.partition("page ")[2][:60])


def test_a_pack_is_plain_values(pack):
    assert isinstance(pack, DayPack)
    assert hash(pack.sign_in) == hash(build_day_pack(packed_day.build_published()).sign_in)


def test_a_tree_tag_the_font_lacks_does_not_stop_the_print(published):
    odd = Tree("木1", "Malus", "", (40.0, 30.0), 2.0, (100,))
    place = replace(published.place, trees=(*published.place.trees, odd))
    data = render_day_pack(build_day_pack(replace(published, place=place)))
    assert "□1" in page_texts(data)[find_page(data, "where today's work lies")]
