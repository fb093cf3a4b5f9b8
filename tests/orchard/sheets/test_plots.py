"""The plot of money against hours: well formed, in words too, the same every time."""

from datetime import date
from xml.etree import ElementTree

from orchard.domain.methods import GroundPiece, TurnOut, compare_methods
from orchard.domain.place import Hardness
from orchard.domain.rates import build_default_rates
from orchard.sheets.plots import list_points, render_methods_plot

SVG = "{http://www.w3.org/2000/svg}"
ROWS = compare_methods(
    GroundPiece("B", "Sandhouse lawn", 350, Hardness.HARD),
    build_default_rates(date(2027, 3, 1)),
    TurnOut(9, 110),
)


def test_svg_is_well_formed_and_says_what_it_shows() -> None:
    data = render_methods_plot(ROWS, kind="svg", title="Lawn <B> & path", money_unit="€")
    root = ElementTree.fromstring(data)
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text is not None
    assert title.text.startswith("Lawn <B> & path 1. leave it: 0 person-hours")
    assert root.find(f".//{SVG}script") is None


def test_the_same_rows_give_the_same_bytes() -> None:
    assert render_methods_plot(ROWS, kind="svg") == render_methods_plot(ROWS, kind="svg")
    png = render_methods_plot(ROWS, kind="png")
    assert png == render_methods_plot(ROWS, kind="png")
    assert png.startswith(b"\x89PNG\r\n\x1a\n")


def test_it_is_black_and_white() -> None:
    import re

    data = render_methods_plot(ROWS, kind="svg").decode()
    colours = {code.lower() for code in re.findall(r"#[0-9a-fA-F]{6}", data)}
    assert colours <= {"#000000", "#ffffff", "#cccccc"}


def test_every_way_has_a_sentence() -> None:
    sentences = list_points(ROWS)
    assert len(sentences) == len(ROWS)
    assert sum("sensible" in said for said in sentences) == sum(row.sensible for row in ROWS)


def test_an_empty_plot_is_still_a_plot() -> None:
    assert ElementTree.fromstring(render_methods_plot((), kind="svg")).tag == f"{SVG}svg"
