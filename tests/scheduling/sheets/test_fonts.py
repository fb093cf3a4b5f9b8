"""What the typeface can print, and what stands in for what it cannot."""

import unicodedata
from html import unescape
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.platypus import Paragraph

from scheduling.sheets import fonts
from scheduling.sheets.fonts import FontMissing, markup, printable, register_fonts
from scheduling.sheets.paper import body_style


@pytest.mark.parametrize(
    "name",
    [
        "Nguyễn Thị Ánh",
        "Zażółć Gęślą Jaźń",
        "Ἀλέξανδρος Παπαδόπουλος",
        "Людмила Щукина",
        "Ðorđe Šćepanović",
        "Ísabella Þórðardóttir",
        "Çağla Öztürk",
        "Léa Œuvre",
    ],
)
def test_latin_greek_cyrillic_and_vietnamese_names_are_printed_as_they_are(name):
    assert printable(name) == name
    # Unicode Standard Annex 15: the decomposed form is the same name.
    assert printable(unicodedata.normalize("NFD", name)) == name


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("山田 Hanako", "□□ Hanako"),
        ("Ana 🌳", "Ana □"),
        ("one\ntwo\tthree", "one two three"),
        ("a\u202eb\u200bc", "abc"),
        ("bell\x07", "bell"),
        ("  wide \u00a0 gap ", "wide gap"),
    ],
)
def test_what_cannot_be_printed_is_shown_as_a_box_or_dropped(text, words):
    assert printable(text) == words


def test_a_lone_surrogate_is_no_danger():
    assert printable("a\ud800b") == "a b"


@given(st.text())
def test_any_text_is_a_paragraph(text):
    words = markup(text)
    paragraph = Paragraph(words, body_style())
    # In drawing order: `test_right_to_left` holds that against the standard.
    assert paragraph.getPlainText().split() == unescape(words).split()


def test_a_missing_font_is_named(monkeypatch):
    monkeypatch.setattr(fonts, "_font_folder", lambda: Path("/nowhere"))
    with pytest.raises(FontMissing, match=r"/nowhere/DejaVuSans\.ttf cannot be read"):
        register_fonts.__wrapped__()


def test_a_missing_package_is_named(monkeypatch):
    monkeypatch.setattr(fonts, "find_spec", lambda _name: None)
    with pytest.raises(FontMissing, match="matplotlib"):
        fonts._font_folder()
