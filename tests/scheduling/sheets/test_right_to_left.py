"""Right-to-left names in drawing order: UAX #9 for one level, joined forms of Arabic letters."""

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.sheets.right_to_left import turn_right_to_left


@pytest.mark.parametrize(
    ("written", "drawn"),
    [
        ("אורי", "ירוא"),
        ("אורי בן־דוד", "דוד־ןב ירוא"),
        ("Zoë, אורי בן־דוד, Ann", "Zoë, דוד־ןב ירוא, Ann"),
        ("אורי (leads)", "ירוא (leads)"),
        # UAX #9, rule L2: figures keep their order inside a run that goes right to left.
        ("כיתה 12 א", "א 12 התיכ"),
        # Rule L4: brackets inside the run are mirrored, so that they still enclose.
        ("אורי (א)", "(א) ירוא"),
        # A point above or below stays with its letter (here qamats, U+05B8).
        ("דָּו", "וד\u05bc\u05b8"),
        ("Søren", "Søren"),
        ("", ""),
    ],
)
def test_names_are_drawn_from_right_to_left(written: str, drawn: str) -> None:
    turned = turn_right_to_left(unicodedata.normalize("NFC", written))
    assert unicodedata.normalize("NFD", turned) == unicodedata.normalize("NFD", drawn)


@pytest.mark.parametrize(
    ("written", "forms"),
    [
        # The Unicode Standard, chapter 9.2: waw joins only what is before it, so reh stands alone.
        ("نور", ["REH ISOLATED", "WAW FINAL", "NOON INITIAL"]),
        ("محمد", ["DAL FINAL", "MEEM MEDIAL", "HAH MEDIAL", "MEEM INITIAL"]),
        ("علي", ["YEH FINAL", "LAM MEDIAL", "AIN INITIAL"]),
        ("لا", ["LAM WITH ALEF ISOLATED"]),
        ("سلام", ["MEEM ISOLATED", "LAM WITH ALEF FINAL", "SEEN INITIAL"]),
    ],
)
def test_arabic_letters_are_joined_to_their_neighbours(written: str, forms: list[str]) -> None:
    names = [unicodedata.name(letter) for letter in turn_right_to_left(written)]
    plain = [
        name.removeprefix("ARABIC LETTER ").removeprefix("ARABIC LIGATURE ").removesuffix(" FORM")
        for name in names
    ]
    assert plain == forms


def test_a_form_the_font_lacks_stays_as_it_was_written() -> None:
    assert turn_right_to_left("نور", frozenset(map(ord, "نور"))) == "رون"


def test_a_long_passage_is_turned_word_by_word() -> None:
    passage = " ".join(["שלום"] * 9)

    assert turn_right_to_left(passage) == " ".join(["םולש"] * 9)


@given(st.text(alphabet="אבגד ,()12abЖ\u05b8"))
def test_no_letter_is_lost_or_added(text: str) -> None:
    turned = turn_right_to_left(text)
    brackets = str.maketrans("", "", "()")
    assert sorted(turned.translate(brackets)) == sorted(text.translate(brackets))
    assert len(turned) == len(text)
