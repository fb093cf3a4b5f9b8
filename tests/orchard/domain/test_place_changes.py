"""Files of trees and areas against a small site: what changes, what is refused, and why."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.columns import Noun
from orchard.domain.place import Area, AreaKind, Place, Tree
from orchard.domain.place_tables import write_areas, write_trees
from tests.orchard.domain.small_files import (
    BARE,
    EMPTY,
    LAWN,
    OLD_TREE,
    OUTLINE,
    PLANTED,
    after,
    read_csv,
)


def test_a_tree_is_added_in_the_area_that_holds_it() -> None:
    changes = read_csv("tag,species,east,north\nT9,pear,33,4\n")

    (added,) = changes.trees_added
    assert (added.tree.tag, added.tree.area, added.tree.position) == ("T9", "B", (33.0, 4.0))
    assert added.where == "line 2"


def test_units_in_the_head_and_in_the_cell() -> None:
    changes = read_csv(
        "tag;species;east (ft);north;canopy width (ft);diameter (in);stem height\n"
        'T9;pear;"32,8";4;16;"2,5; 4";30 cm\n'
    )

    tree = changes.trees_added[0].tree
    # By hand: 32.8 ft = 9.997 m; 16 ft across = 2.438 m radius; 2.5 in = 63.5 mm, 4 in = 101.6 mm.
    assert tree.position == (9.997, 4.0)
    assert tree.canopy_radius_m == pytest.approx(2.438, abs=0.0005)
    assert tree.stem_diameters_mm == (64, 102)
    assert tree.stem_height_m == pytest.approx(0.3)


def test_girth_is_divided_by_pi() -> None:
    # shared reference, section 10: 60 in of girth -> 19.10 in of diameter (485 mm).
    changes = read_csv("tag,species,east,north,girth (in)\nT9,oak,5,5,60\n")
    assert changes.trees_added[0].tree.stem_diameters_mm == (485,)


def test_old_and_new_are_told_and_the_rest_stays() -> None:
    changes = read_csv("tag,canopy radius (m),cultivar\nT1,2.4,\n", PLANTED)

    (changed,) = changes.trees_changed
    (field,) = changed.changes
    assert (field.label, field.old, field.new) == ("canopy radius", "2 m", "2.4 m")
    assert changed.tree.cultivar == "Discovery"
    assert changed.tree.position == OLD_TREE.position


def test_trees_that_a_file_does_not_name_are_counted_and_left() -> None:
    changes = read_csv("tag,species,east,north\nT9,pear,33,4\n", PLANTED)

    assert changes.trees_not_named == 1
    assert OLD_TREE in after(PLANTED, changes).trees


ROW = "tag,species,area,east,north,canopy radius (m),diameter (mm),stem height,inspected on\n"


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        (",pear,A,5,9,2,100,,", "no tag"),
        ("T 9,pear,A,5,9,2,100,,", "letters a to z, digits"),
        ("T123456789012,pear,A,5,9,2,100,,", "at most 12 fit"),
        ("T9,,A,5,9,2,100,,", "names no species"),
        ("T9,pear,A,,,2,100,,", "does not say where it stands"),
        ("T9,pear,A,5,,2,100,,", "Only one of east and north"),
        ("T9,pear,A,5,far,2,100,,", "cannot be read as a length"),
        ("T9,pear,A,55,9,2,100,,", "off the site"),
        ("T9,pear,A,555555,9,2,100,,", "national grid"),
        ("T9,pear,Q,5,9,2,100,,", "no area “Q”"),
        ("T9,pear,B,5,9,2,100,,", "outside area B"),
        ("T9,pear,,40.5,9,2,100,,", "in no area"),
        ("T9,pear,A,5,9,-2,100,,", "never below zero"),
        ("T9,pear,A,5,9,2,-100,,", "never below zero"),
        ("T9,pear,A,5,9,2,0,,", "from 1 mm to 3 m"),
        ("T9,pear,A,5,9,45,100,,", "from 0.1 m to 20 m"),
        ("T9,pear,A,5,9,0.2,500,,", "less than its trunk"),
        ("T9,pear,A,5,9,2,100,7,", "from 0.1 m to 2 m"),
        ("T9,pear,A,5,9,2 inn,100,,", "for example 2.5 m"),
        ('T9,pear,A,5.5,9,"1,5",100,,', "decimal point"),
        ("T9,pear,A,5,9,2,100,,17.4.2027", "Write it as 2027-04-17"),
        ('T9,"pe\nar",A,5,9,2,100,,', "line break"),
        ("T9,pear,A,5.1,5.1,2,100,,", "14 cm from tree T1"),
        ("T9,pear,A,nan,5,2,100,,", "cannot be read as a length"),
        ("T9,pear,A,1e999,5,2,100,,", "national grid"),
    ],
)
def test_a_bad_row_is_left_out_with_its_reason(row: str, sentence: str) -> None:
    changes = read_csv(ROW + row + "\nT8,plum,A,15,9,2,100,,\n", PLANTED)

    (bad,) = changes.bad
    assert sentence in bad.reason
    assert bad.reason.endswith(".")
    assert bad.where == "line 2"
    assert [change.tree.tag for change in changes.trees_added] == ["T8"]


def test_a_tag_twice_makes_both_rows_bad() -> None:
    changes = read_csv("tag,species,east,north\nT9,pear,5,5\nT9,pear,15,5\nT8,plum,25,5\n")

    assert [row.where for row in changes.bad] == ["line 2", "line 3"]
    assert all("more than one row" in row.reason for row in changes.bad)
    assert [change.tree.tag for change in changes.trees_added] == ["T8"]


def test_of_two_trees_in_one_spot_the_later_is_bad() -> None:
    changes = read_csv("tag,species,east,north\nT8,pear,5,5\nT9,pear,5.2,5.1\nT10,pear,5.1,5\n")

    assert [change.tree.tag for change in changes.trees_added] == ["T8"]
    assert [row.name for row in changes.bad] == ["T9", "T10"]
    assert "from tree T8" in changes.bad[0].reason


def test_a_tree_may_move_to_where_another_moves_away() -> None:
    two = after(PLANTED, read_csv("tag,species,east,north\nT2,pear,15,5\n", PLANTED))

    changes = read_csv("tag,east,north\nT1,15,5\nT2,25,5\n", two)

    assert changes.bad == ()
    assert len(changes.trees_changed) == 2


def test_two_kept_trees_in_one_spot_are_left_alone() -> None:
    twin = Tree("T2", "apple", "", (5.1, 5.0), 2.0, (), 1.0, "A")
    place = Place("Small Yard", OUTLINE, (OLD_TREE, twin), (LAWN,), ())

    changes = read_csv("tag,east,north\nT1,5,5\nT2,5.1,5\n", place)

    assert changes.bad == ()
    assert changes.trees_left == ("T1", "T2")


def test_tapes_from_two_pegs() -> None:
    # The triangle of 3, 4 and 5 twice, from pegs 6 m apart: 3 m on, 4 m to the left.
    pegs = {"P1": (2.0, 2.0), "P2": (8.0, 2.0)}
    file = "tag,species,peg 1,tape 1,peg 2,tape 2,side\nT9,pear,p1,5,P2,5,{}\n"

    left = read_csv(file.format("left"), pegs=pegs)
    unsaid = read_csv(file.format(""), pegs=pegs)
    right = read_csv(file.format("right"), pegs=pegs)

    assert left.trees_added[0].tree.position == (5.0, 6.0)
    assert unsaid.trees_added[0].tree.position == (5.0, 6.0)  # the other is off the site
    assert "off the site" in right.bad[0].reason


@pytest.mark.parametrize(
    ("cells", "sentence"),
    [
        ("P1,5,,,left", "Only one tape"),
        ("P1,5,P2,,left", "tape from the second peg is not filled in"),
        ("P1,5,P9,5,left", "no peg or tree “P9”"),
        ("P1,1,P2,2,left", "do not meet"),
        ("P1,5,P2,5,up", "left, right"),
        ("P1,500,P2,499,left", "from 10 mm to 100 m"),
    ],
)
def test_tapes_that_say_too_little_or_too_much(cells: str, sentence: str) -> None:
    file = f"tag,species,peg 1,tape 1,peg 2,tape 2,side\nT9,pear,{cells}\n"
    changes = read_csv(file, pegs={"P1": (2.0, 2.0), "P2": (8.0, 2.0)})

    assert sentence in changes.bad[0].reason


def test_both_crossings_on_the_site_need_a_side() -> None:
    pegs = {"P1": (2.0, 10.0), "P2": (8.0, 10.0)}
    changes = read_csv("tag,species,peg 1,tape 1,peg 2,tape 2\nT9,pear,P1,5,P2,5\n", pegs=pegs)

    assert "Write left or right" in changes.bad[0].reason


def test_three_tapes_and_a_tree_as_a_peg() -> None:
    file = (
        "tag,species,peg 1,tape 1,peg 2,tape 2,peg 3,tape 3\n"
        f"T9,pear,PEG,{math.hypot(12, 9):.2f},T1,{math.hypot(7, 4):.2f},P1,{math.hypot(8, 9):.2f}\n"
    )
    changes = read_csv(file, PLANTED, pegs={"P1": (20.0, 0.0)})

    assert changes.trees_added[0].tree.position == pytest.approx((12, 9), abs=0.01)
    assert changes.remarks == ("T9: three tapes agree within 0 cm.",)


AREAS = "code,name,kind,east,north\n"
SQUARE = "C,Court,paving,1,1\nC,,,5,1\nC,,,5,5\nC,,,1,5\n"


def test_an_area_is_a_row_for_each_corner() -> None:
    changes = read_csv(AREAS + SQUARE, noun=Noun.AREA)

    (added,) = changes.areas_added
    assert added.area == Area("C", "Court", AreaKind.PAVING, ((1, 1), (5, 1), (5, 5), (1, 5)))


@pytest.mark.parametrize(
    ("rows", "sentence"),
    [
        ("C,Court,lawn,1,1\nC,,,5,5\nC,,,5,1\nC,,,1,5\n", "crosses itself"),
        ("C,Court,lawn,1,1\nC,,,5,5\n", "at least 3"),
        ("C,Court,lawn,38,1\nC,,,48,1\nC,,,48,11\nC,,,38,11\n", "70.0 m² lie off the site"),
        ("C,Court,meadow,1,1\nC,,,5,1\nC,,,5,5\n", "Write one of: lawn, bed"),
        ("C,Court,lawn,1,1\nC,Yard,,5,1\nC,,,5,5\n", "both “Court” and “Yard”"),
        ("C,Court,lawn,1,1\nC,,,,\nC,,,5,5\n", "corner of area C in line 3 has no place"),
        ("C,Court,lawn,,\n", "does not say where it lies"),
    ],
)
def test_a_bad_area_is_left_out_with_its_reason(rows: str, sentence: str) -> None:
    changes = read_csv(AREAS + rows, noun=Noun.AREA)

    assert changes.areas_added == ()
    assert sentence in changes.bad[0].reason


def test_the_same_corners_from_elsewhere_and_the_other_way_are_the_same() -> None:
    turned = AREAS + "A,Lawn,lawn,30,20\nA,,,30,0\nA,,,0,0\nA,,,0,20\n"

    changes = read_csv(turned, noun=Noun.AREA)

    assert changes.is_empty
    assert changes.areas_left == ("A",)


def test_an_area_that_would_no_longer_hold_its_tree_is_remarked() -> None:
    small = AREAS + "A,Lawn,lawn,10,0\nA,,,30,0\nA,,,30,20\nA,,,10,20\n"

    changes = read_csv(small, PLANTED, noun=Noun.AREA)

    assert changes.remarks == ("Area A would no longer hold 1 of its trees (T1).",)


def test_differences_are_written_in_a_persons_units() -> None:
    from orchard.domain.units import System

    changes = read_csv("tag,canopy radius (ft)\nT1,8\n", PLANTED, system=System.US)

    field = changes.trees_changed[0].changes[0]
    assert (field.old, field.new) == ("6.56 ft", "8 ft")


word = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Zl", "Zp", "Zs")),
    min_size=1,
    max_size=12,
).filter(lambda text: text == text.strip())


@st.composite
def trees(draw: st.DrawFn) -> tuple[Tree, ...]:
    """Trees on a grid of the lawn, each shifted by some centimetres."""
    count = draw(st.integers(1, 6))
    return tuple(
        Tree(
            tag=f"T{number}",
            species=draw(word),
            cultivar=draw(st.one_of(st.just(""), word)),
            position=(
                round(2 + 4 * number + draw(st.integers(-90, 90)) / 100, 3),
                round(10 + draw(st.integers(-9000, 9000)) / 1000, 3),
            ),
            canopy_radius_m=draw(st.one_of(st.none(), st.integers(15, 40).map(lambda d: d / 10))),
            stem_diameters_mm=tuple(draw(st.lists(st.integers(10, 400), max_size=3))),
            stem_height_m=draw(st.sampled_from([0.3, 0.6, 1.0, 1.3])),
            area="A",
            inspected_on=draw(st.one_of(st.none(), st.dates())),
        )
        for number in range(1, count + 1)
    )


@given(trees())
def test_export_gives_back_what_was_imported(planted: tuple[Tree, ...]) -> None:
    place = Place("Small Yard", OUTLINE, planted, (LAWN, BARE.areas[1]), ())
    text = write_trees(place)

    fresh = after(BARE, read_csv(text, BARE))
    again = read_csv(text, place)

    assert fresh.trees == planted
    assert write_trees(fresh) == text
    assert again.is_empty
    assert len(again.trees_left) == len(planted)


def test_areas_come_back_with_all_that_is_known_of_them() -> None:
    from datetime import date

    known = Area(
        "C", "=Court", AreaKind.NO_DIG, ((1.0, 1.0), (5.25, 1.0), (5.0, 5.0)), True,
        "paint, shop", date(2026, 9, 22), False,
    )  # fmt: skip
    place = Place("Small Yard", OUTLINE, (), (LAWN, known), ())
    text = write_areas(place)

    fresh = after(EMPTY, read_csv(text, EMPTY, noun=Noun.AREA))

    assert fresh.areas == (LAWN, known)
    assert "'=Court" in text
    assert read_csv(text, place, noun=Noun.AREA).is_empty
