"""A layout mended after roots, rubble and holes bored beside their place."""

import math
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.boreholes import HoleLayout, keep_open, lay_out_holes
from orchard.domain.errors import GroundError
from orchard.domain.hole_repair import HoleMoved, HoleRefused, repair_layout
from tests.orchard.domain.small_orchard import build_place, build_pocket


def lay_out() -> HoleLayout:
    return lay_out_holes(build_pocket(), build_place(), spacing_m=0.5, diameter_m=0.075)


def at(layout: HoleLayout, name: str) -> tuple[float, float]:
    return next(hole.at for hole in layout.holes if hole.name == name)


def test_nothing_refused_changes_nothing() -> None:
    layout = lay_out()
    assert repair_layout(layout).layout == layout


def test_a_refused_hole_gets_a_place_beside_the_root() -> None:
    layout = lay_out()
    mended = repair_layout(layout, (HoleRefused("C4", "root over 25 mm"),))
    assert mended.dropped == ("C4",)
    (new,) = mended.added
    assert new.name == "C4b"
    assert new.number == len(layout.holes) + 1
    assert math.dist(new.at, at(layout, "C4")) >= 0.15
    assert len(mended.layout.holes) == len(layout.holes)
    assert "C4 is out (root over 25 mm); C4b takes its place." in mended.sentences


def test_a_large_stone_leaves_a_gap_and_says_so() -> None:
    mended = repair_layout(lay_out(), (HoleRefused("C4", "slab", clear_m=0.7),))
    assert "C4" in mended.dropped
    assert "inside the ground left alone" in " ".join(mended.sentences)
    assert len(mended.layout.holes) < 80


def test_a_moved_hole_pushes_its_neighbour_out_unless_that_is_bored() -> None:
    layout = lay_out()
    x, y = at(layout, "C4")
    # 0.2 m towards C5 leaves 0.3 m, under 0.7 × 0.5 m.
    near = repair_layout(layout, moved=(HoleMoved("C4", (x + 0.2, y)),))
    assert near.dropped == ("C5",)
    assert "C4 stands 20 cm from its place." in near.sentences
    bored = repair_layout(layout, moved=(HoleMoved("C4", (x + 0.2, y)),), done=("C5",))
    assert bored.dropped == ()


@pytest.mark.parametrize(
    ("refused", "moved", "done", "said"),
    [
        ((HoleRefused("ZZ9", "root"),), (), (), "no hole ZZ9"),
        ((HoleRefused("C4", "root"),), (), ("C4",), "C4 is entered more than once"),
        ((), (HoleMoved("C4", (0.0, 0.0)),), (), "moved out of the ground"),
    ],
)
def test_what_cannot_be_is_refused(
    refused: tuple[HoleRefused, ...], moved: tuple[HoleMoved, ...], done: tuple[str, ...], said: str
) -> None:
    with pytest.raises(GroundError, match=said):
        repair_layout(lay_out(), refused, moved, done)


def test_two_holes_in_one_spot_are_refused() -> None:
    layout = lay_out()
    with pytest.raises(GroundError, match="in each other"):
        repair_layout(layout, moved=(HoleMoved("C4", at(layout, "C5")),), done=("C5",))


def test_a_second_refusal_takes_the_next_letter() -> None:
    first = repair_layout(lay_out(), (HoleRefused("C4", "root"),))
    second = repair_layout(first.layout, (HoleRefused("C4b", "root"),))
    assert [hole.name for hole in second.added] == ["C4c"]


@settings(max_examples=25, deadline=None)
@given(st.sets(st.integers(0, 79), max_size=12), st.floats(0.1, 0.5))
def test_repaired_holes_keep_their_distances_and_stay_in_the_room(
    places: set[int], clear_m: float
) -> None:
    layout = lay_out()
    refused = tuple(
        HoleRefused(layout.holes[place].name, "rubble", clear_m) for place in sorted(places)
    )
    mended = repair_layout(layout, refused)
    points = [hole.at for hole in mended.layout.holes]
    assert all(math.dist(a, b) >= 0.35 - 1e-6 for a, b in combinations(points, 2))
    assert keep_open(layout.room, points) == tuple(points)
    names = [hole.name for hole in mended.layout.holes]
    assert len(set(names)) == len(names)
    assert not {given.name for given in refused} & set(names)
    for given_up in refused:
        assert all(
            math.dist(point, at(layout, given_up.name)) >= clear_m - 1e-3 for point in points
        )
