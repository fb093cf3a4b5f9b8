"""Site and task drawings: what is shown, how loud, how large, and in which words."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.drawing import (
    Dimension,
    Disc,
    Drawing,
    Extent,
    Frame,
    Label,
    Layer,
    Patch,
    Pen,
    Ring,
    Tone,
    build_site_drawing,
    build_task_drawing,
    frame_on,
    pick_bar_m,
    pick_scale,
    place_labels,
)
from orchard.domain.drawing_frame import (
    SCALES,
    DrawingTooLarge,
    dimension_box,
    fits_dimension,
    label_box,
)
from orchard.domain.errors import GroundError
from orchard.domain.geometry import no_boring_radius_m
from tests.scheduling.sheets import packed_day

PLACE = packed_day.build_place()
POCKETS = packed_day.POCKETS
CORE = packed_day.build_core_task(PLACE, POCKETS[0])
FEED = packed_day.build_task("top-1")


def shapes_of(drawing, kind, pen):
    return [
        shape
        for layer in drawing.layers
        for shape in layer.shapes
        if isinstance(shape, kind) and shape.pen is pen
    ]


@pytest.mark.parametrize(
    ("width_m", "height_m", "scale"),
    [
        # 100 mm by 80 mm of paper. A 5 m length is 100 mm at 1:50 (ISO 5455:1979: drawing
        # length = length / scale).
        (5.0, 4.0, 50),
        (5.001, 4.0, 100),
        (0.9, 0.7, 10),
        (1.1, 0.7, 20),
        (2.0, 2.0, 25),
        (20.0, 16.5, 250),
        (72.0, 46.0, 1000),
        (99.0, 70.0, 1000),
        (150.0, 70.0, 2000),
    ],
)
def test_the_largest_round_scale_that_fits_is_picked(width_m, height_m, scale):
    assert pick_scale(Extent(0, 0, width_m, height_m), 100, 80) == scale


def test_ground_too_large_for_any_scale_says_what_fits():
    with pytest.raises(DrawingTooLarge, match=r"900000 m by 5 m; at 1:5000 500 m by 400 m fit"):
        pick_scale(Extent(0, 0, 900_000, 5), 100, 80)


@given(
    st.floats(0.1, 400), st.floats(0.1, 300), st.floats(100, 400), st.floats(100, 400)
)  # fmt: skip
def test_a_picked_scale_fits_and_the_next_larger_one_does_not(width_m, height_m, width, height):
    extent = Extent(0, 0, width_m, height_m)
    scale = pick_scale(extent, width, height)
    assert width_m * 1000 / scale <= width + 0.01
    assert height_m * 1000 / scale <= height + 0.01
    larger = [other for other in SCALES if other < scale]
    if larger:
        nearest = max(larger)
        assert width_m * 1000 / nearest > width or height_m * 1000 / nearest > height


@pytest.mark.parametrize(
    ("scale", "length_m"), [(10, 0.5), (50, 2), (100, 5), (250, 10), (500, 20)]
)
def test_the_scale_bar_is_round_and_at_most_50_mm_long(scale, length_m):
    assert pick_bar_m(scale) == length_m
    assert length_m * 1000 / scale <= 50


def test_a_frame_places_a_metre_at_20_mm_on_a_scale_of_1_to_50():
    frame = Frame(Extent(10, 20, 14, 23), 50)
    assert frame.place((11.0, 21.0)) == (20.0, 20.0)
    assert (frame.width_mm, frame.height_mm) == (80.0, 60.0)


def test_the_site_drawing_shows_every_tree_pocket_area_and_service():
    drawing = build_site_drawing(PLACE, POCKETS)
    assert len(shapes_of(drawing, Ring, Pen.CANOPY)) == 36
    assert len(shapes_of(drawing, Disc, Pen.TRUNK)) == 36 + 1  # and the site's peg
    assert len(shapes_of(drawing, Ring, Pen.NO_BORING)) == 36
    assert len(shapes_of(drawing, Ring, Pen.ROOTS)) == 36
    assert len(shapes_of(drawing, Patch, Pen.POCKET)) == 2
    assert len(shapes_of(drawing, Patch, Pen.CORRIDOR)) == 1
    assert len(shapes_of(drawing, Patch, Pen.NO_DIG)) == 1
    for tree in PLACE.trees:
        assert Ring(tree.position, no_boring_radius_m(tree), Pen.NO_BORING) in [
            shape for layer in drawing.layers for shape in layer.shapes
        ]


def test_the_site_drawing_says_what_it_shows():
    words = build_site_drawing(PLACE, POCKETS, tasks=(CORE,)).description
    assert "Turntable Orchard measures 72 m from west to east and 46 m" in words
    assert "36 trees" in words
    assert "Pit slab (no dig)" in words
    assert "electric S1" in words
    assert "2 pockets: P1 and P2." in words
    assert "42 core holes" in words


def test_a_hole_bored_and_filled_by_two_tasks_is_one_hole():
    fill = packed_day.build_fill_task(CORE)
    drawing = build_site_drawing(PLACE, POCKETS, tasks=(CORE, fill), marks=("A", "B"))
    assert len(shapes_of(drawing, Disc, Pen.HOLE_DOT)) == len(CORE.holes)
    assert "42 core holes" in drawing.description
    marks = [label.text for label in shapes_of(drawing, Label, Pen.NOTE) if label.text == "A B"]
    assert marks == ["A B"]


def test_a_task_drawing_has_its_own_work_dark_and_the_rest_pale():
    drawing = build_task_drawing(PLACE, POCKETS, FEED)
    tones = {ring.centre: ring.tone for ring in shapes_of(drawing, Ring, Pen.CANOPY)}
    own = {tree.position for tree in PLACE.trees if tree.tag in ("T01", "T02", "T10")}
    assert {at for at, tone in tones.items() if tone is Tone.DARK} == own
    assert {at for at, tone in tones.items() if tone is Tone.PALE} == set(tones) - own


def test_a_boring_task_shows_every_hole_numbered_the_pegs_and_the_keep_outs():
    drawing = build_task_drawing(PLACE, POCKETS, CORE)
    discs = shapes_of(drawing, Disc, Pen.HOLE)
    assert {disc.centre for disc in discs} == {hole.at for hole in CORE.holes}
    assert all(disc.tone is Tone.DARK for disc in discs)
    texts = {label.text for label in shapes_of(drawing, Label, Pen.NOTE)}
    assert {str(number) for number in range(1, 43)} | {"A", "B"} <= texts
    assert len(shapes_of(drawing, Ring, Pen.NO_BORING)) == 36
    corridors = shapes_of(drawing, Patch, Pen.CORRIDOR)
    assert corridors
    assert all(patch.tone is Tone.PLAIN for patch in corridors)


def test_a_task_that_opens_no_ground_draws_no_boring_circles():
    assert shapes_of(build_task_drawing(PLACE, POCKETS, FEED), Ring, Pen.NO_BORING) == []


def test_a_task_drawing_is_zoomed_to_the_work():
    extent = build_task_drawing(PLACE, POCKETS, CORE).extent
    # Pegs at the pocket's south corners, 4.8 m apart; 6 rows 0.75 m apart, the first 0.05 m
    # north of the pegs: 3.8 m. The margin is 0.4 m a side.
    assert extent.width_m == pytest.approx(5.6, abs=0.001)
    assert extent.height_m == pytest.approx(3.8 + 0.8, abs=0.001)


def test_a_task_drawing_says_what_is_dark_and_how_to_find_it():
    words = build_task_drawing(PLACE, POCKETS, CORE).description
    assert "Drawn dark: pocket P1." in words
    assert "42 core holes, numbered 1 to 42, on ground of 4.8 m from west to east" in words
    # Hole 1 at (15.65, 10.45) and T02 at (13.5, 8): √(2.15² + 2.45²) = 3.26 m, by hand.
    assert "Hole 1 is 3.3 m north-east of tree T02" in words
    feed = build_task_drawing(PLACE, POCKETS, FEED).description
    assert "Drawn dark: trees T01, T02 and T10." in feed


def test_a_task_that_names_no_ground_shows_its_area():
    task = replace(FEED, trees=(), ground=(), zone="N")
    extent = build_task_drawing(PLACE, POCKETS, task).extent
    assert extent.touches(Extent(60, 25, 68, 33))
    assert extent.width_m < 10


def test_a_tree_nobody_has_measured_keeps_its_trunk_and_loses_its_canopy():
    bare = replace(PLACE.trees[0], canopy_radius_m=None, stem_diameters_mm=())
    place = replace(PLACE, trees=(bare,))
    for drawing in (build_site_drawing(place, ()), build_task_drawing(place, (), FEED)):
        assert shapes_of(drawing, Ring, Pen.CANOPY) == []
        assert bare.position in [disc.centre for disc in shapes_of(drawing, Disc, Pen.TRUNK)]


def test_a_site_without_an_outline_is_refused_in_words():
    with pytest.raises(GroundError, match="give the site an outline"):
        build_site_drawing(replace(PLACE, outline=()), ())


@given(st.integers(0, 60), st.sampled_from(SCALES), st.floats(0.2, 1.5))
def test_labels_that_are_kept_cover_neither_one_another_nor_the_edge(count, scale, step_m):
    labels = tuple(
        Label((step_m * (i % 8), step_m * (i // 8)), str(i + 1), Tone.DARK) for i in range(count)
    )
    drawing = Drawing("t", "d", Extent(0, 0, 6, 6), (Layer("numbers", labels),))
    frame = frame_on(drawing, scale, 120, 90)
    boxes = [label_box(label, frame) for label in place_labels(drawing, frame)]
    for number, box in enumerate(boxes):
        assert box.west >= 0
        assert box.north <= 90
        assert not any(box.touches(other) for other in boxes[:number])
    if count:
        first = label_box(labels[0], frame)
        fits = first.west >= 0 and first.south >= 0 and first.east <= 120 and first.north <= 90
        assert bool(boxes) or not fits


def test_hole_numbers_thin_out_to_the_tens_when_there_is_no_room():
    drawing = build_task_drawing(PLACE, POCKETS, CORE)

    def numbers_at(scale):
        labels = place_labels(drawing, frame_on(drawing, scale, 180, 120))
        return {int(label.text) for label in labels if label.text.isdigit()}

    # Holes are 0.75 m apart: 15 mm at 1:50, 3 mm at 1:250, where 2.8 mm figures do not fit.
    assert numbers_at(50) == set(range(1, 43))
    assert numbers_at(250) <= {1, 10, 20, 30, 40, 42}
    assert {10, 20, 30} <= numbers_at(250)


def test_no_name_covers_a_distance():
    drawing = build_task_drawing(PLACE, POCKETS, FEED)
    frame = frame_on(drawing, 100, 180, 180)
    distances = [
        dimension_box(shape, frame)
        for layer in drawing.layers
        for shape in layer.shapes
        if isinstance(shape, Dimension)
    ]
    assert len(distances) == 3
    assert {"T01", "T02", "T10"} <= {label.text for label in place_labels(drawing, frame)}
    for label in place_labels(drawing, frame):
        assert not any(label_box(label, frame).touches(box) for box in distances)


def test_a_distance_too_short_for_its_words_gives_way_to_the_names():
    drawing = build_task_drawing(PLACE, POCKETS, FEED)
    # A radius of 1.6 to 2.0 m is 8 to 10 mm at 1:200; “1.60 m” in 2.8 mm type takes 10.4 mm.
    frame = frame_on(drawing, 200, 100, 100)
    distances = [s for layer in drawing.layers for s in layer.shapes if isinstance(s, Dimension)]
    assert not any(fits_dimension(distance, frame) for distance in distances)
    names = {label.text for label in place_labels(drawing, frame)}
    assert {"T01", "T02", "T10"} <= names


def test_dimensions_state_the_distance_between_their_ends():
    drawing = build_task_drawing(PLACE, POCKETS, CORE)
    dimensions = [s for layer in drawing.layers for s in layer.shapes if isinstance(s, Dimension)]
    assert dimensions
    for dimension in dimensions:
        assert dimension.text == f"{math.dist(dimension.start, dimension.end):.2f} m"
