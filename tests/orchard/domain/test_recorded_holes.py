"""A pocket's holes round what is on record: begun layouts kept, older holes kept clear of."""

import math
from datetime import date

from orchard.domain.place import Point
from orchard.domain.plan import Hole, HoleFact, HoleOutcome
from orchard.domain.recorded_holes import (
    RecordedLayout,
    choose_bored,
    find_facts,
    find_holes_outside,
    get_stem,
    lay_out_recorded,
)
from tests.orchard.domain.small_orchard import build_place, build_pocket, rectangle

SPRING, AUTUMN, NEXT_YEAR = date(2027, 4, 10), date(2027, 9, 18), date(2028, 4, 8)


def lay_out(*facts: HoleFact, spacing_m: float = 0.5, pocket: str = "P1") -> RecordedLayout:
    # P2 touches P1 on its eastern side.
    outline = rectangle(10, 10, 4.8, 4) if pocket == "P1" else rectangle(14.8, 10, 5, 4)
    return lay_out_recorded(
        build_pocket(pocket, outline), build_place(), facts, spacing_m=spacing_m, diameter_m=0.075
    )


def find(layout: RecordedLayout, name: str) -> Hole:
    return next(hole for hole in layout.layout.holes if hole.name == name)


def fact(
    number: int,
    hole: Hole,
    outcome: str = "bored",
    on: date = SPRING,
    moved_to: Point | None = None,
    pocket: str = "P1",
) -> HoleFact:
    return HoleFact(number, pocket, hole.name, HoleOutcome(outcome), "", on, hole.at, moved_to)


def at(layout: RecordedLayout) -> dict[str, Point]:
    return {hole.name: hole.at for hole in layout.layout.holes}


def test_holes_bored_as_laid_out_change_nothing() -> None:
    bare = lay_out()
    bored = lay_out(*(fact(n, hole) for n, hole in enumerate(bare.layout.holes[:30], start=1)))
    assert at(bored) == at(bare)
    assert bored.bored == tuple(hole.name for hole in bare.layout.holes[:30])
    assert bored.elsewhere == 0


def test_another_spacing_next_year_keeps_clear_of_every_hole_of_this_one() -> None:
    old = [fact(n, hole) for n, hole in enumerate(lay_out(spacing_m=0.9).layout.holes, start=1)]
    new = lay_out(*old, spacing_m=0.4)
    assert new.elsewhere == len(old)
    assert new.bored == ()
    assert new.of_this_layout == frozenset()
    least = min(math.dist(hole.at, one.planned) for hole in new.layout.holes for one in old)
    assert least >= 0.4 - 1e-3


def test_the_new_layout_stays_while_it_is_bored() -> None:
    old = [fact(n, hole) for n, hole in enumerate(lay_out(spacing_m=0.9).layout.holes, start=1)]
    new = lay_out(*old, spacing_m=0.4)
    begun = [fact(100 + n, hole, on=NEXT_YEAR) for n, hole in enumerate(new.layout.holes[:5])]
    after = lay_out(*old, *begun, spacing_m=0.4)
    assert at(after) == at(new)
    assert after.bored == tuple(hole.name for hole in new.layout.holes[:5])


def test_a_pocket_next_door_keeps_clear_until_it_was_begun_itself() -> None:
    mine = lay_out()
    edge = [hole for hole in mine.layout.holes if hole.at[0] > 14.4]
    bored = [fact(n, hole, on=AUTUMN) for n, hole in enumerate(edge, start=1)]
    neighbour = lay_out(pocket="P2")
    least = min(math.dist(h.at, e.at) for h in neighbour.layout.holes for e in edge)
    assert least < 0.4  # left alone the two grids come too near each other
    later = lay_out(*bored, pocket="P2")
    assert min(math.dist(h.at, e.at) for h in later.layout.holes for e in edge) >= 0.5 - 1e-3
    begun = fact(50, neighbour.layout.holes[0], on=SPRING, pocket="P2")
    assert at(lay_out(*bored, begun, pocket="P2")) == at(neighbour)


def test_a_hole_put_beside_a_root_stays_when_its_neighbour_is_refused_later() -> None:
    bare = lay_out()
    refused = fact(1, find(bare, "C4"), "refused")
    once = lay_out(refused)
    beside = fact(2, find(once, "C4b"))
    twice = lay_out(refused, beside, fact(3, find(once, "C5"), "refused"))
    assert at(twice)["C4b"] == at(once)["C4b"]
    assert twice.bored == ("C4b",)
    assert twice.of_this_layout == {1, 2, 3}


def test_a_moved_hole_leaves_bored_neighbours_where_they_are() -> None:
    bare = lay_out()
    x, y = find(bare, "C4").at
    neighbour = fact(1, find(bare, "C5"))
    moved = fact(2, find(bare, "C4"), "moved", moved_to=(x + 0.2, y))
    found = lay_out(neighbour, moved)
    assert at(found)["C5"] == find(bare, "C5").at
    assert at(found)["C4"] == (x + 0.2, y)
    assert set(found.bored) == {"C4", "C5"}


def test_a_count_means_the_named_holes_and_then_the_first_of_the_sheet() -> None:
    holes = lay_out().layout.holes[:6]  # A1 to A6
    assert choose_bored(holes, (), (), 3) == ((), ("A1", "A2", "A3"))
    assert choose_bored(holes, ("A1",), ("A6",), 3) == (("A6",), ("A2", "A3"))
    assert choose_bored(holes, ("A1", "A2"), ("A6", "A5"), 1) == (("A6",), ())
    assert choose_bored(holes, ("A1", "A2", "A3", "A4"), (), 9) == ((), ("A5", "A6"))


def test_a_record_is_of_the_hole_of_its_name_and_place() -> None:
    holes = lay_out().layout.holes
    (x, y), other = holes[0].at, holes[1].at
    near = HoleFact(1, "P1", "A1", HoleOutcome.BORED, "", SPRING, (x + 0.01, y))
    far = HoleFact(2, "P1", "A1", HoleOutcome.BORED, "", SPRING, other)
    assert find_facts(holes, (near, far)) == {"A1": near}


def test_holes_on_ground_that_no_pocket_holds_are_found() -> None:
    inside, outside = lay_out().layout.holes[0], lay_out(pocket="P2").layout.holes[0]
    facts = (fact(1, inside), fact(2, outside), fact(3, lay_out().layout.holes[1], "refused"))
    assert find_holes_outside(facts, (rectangle(10, 10, 4.8, 4),)) == (outside.at,)
    assert len(find_holes_outside(facts, ())) == 2


def test_a_name_goes_back_to_the_hole_first_laid_out_there() -> None:
    assert [get_stem(name) for name in ("C7", "C7b", "AA12c")] == ["C7", "C7", "AA12"]
