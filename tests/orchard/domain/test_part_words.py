"""A part's words: what a hand-drawn small orchard shows in it, and nothing from elsewhere."""

from orchard.domain.drawing_parts import Extent, extent_of
from orchard.domain.part_words import describe_part
from tests.orchard.domain.small_orchard import build_place, build_pocket


def test_only_what_lies_in_the_part_is_named() -> None:
    place, pocket = build_place(), build_pocket()
    box = extent_of(pocket.outline)
    x, y = box.middle
    inside, outside = (x, y), (box.east + 50, y)
    readings = [("R1", inside), ("R2", outside)]

    words = describe_part(
        place, [pocket], [inside, outside], readings, box, name=f"pocket {pocket.code}"
    )

    assert words.startswith(f"Pocket {pocket.code} and what lies ")
    assert f"{box.width_m:.1f} m from west to east" in words
    assert f"1 pocket: {pocket.code}." in words
    assert "1 core hole of the plan." in words
    assert "1 reading: R1." in words
    for tree in place.trees:
        near = box.west <= tree.position[0] <= box.east and (
            box.south <= tree.position[1] <= box.north
        )
        assert (tree.tag in words) is near


def test_sides_are_told_from_the_peg() -> None:
    words = describe_part(build_place(), [], [], [], Extent(-900.0, -20.0, -800.0, 5.5))
    assert words.startswith("Ground 800.0 to 900.0 m west and 20.0 m south to 5.5 m north from")
    assert words.endswith("Nothing is drawn here.")
