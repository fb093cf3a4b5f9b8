"""Words the page of one pocket: what two people need to set it out and bore it."""

from collections.abc import Mapping
from datetime import date

from orchard.domain.drawing_units import draw_in
from orchard.domain.errors import PlanError, UnknownGround
from orchard.domain.ground_history import judge_history, read_history
from orchard.domain.row_table import RowRun
from orchard.domain.unit_words import say_in
from orchard.domain.units import System, format_tape, format_tool
from orchard.queries.pocket_layouts import PocketLayout, find_pocket_layout
from scheduling.sheets.paper import Paper
from scheduling.sheets.pocket import PocketLine, PocketSheet

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


def build_pocket_sheet(
    *, site_id: int, code: str, on: date, printed: str, system: System = System.METRIC
) -> PocketSheet:
    """Return a pocket's page, worded.

    Args:
        site_id: The site.
        code: The pocket.
        on: The day of printing: who may dig is judged by what is on record then.
        printed: The moment of printing as words, for the foot.
        system: The units of the two who will work from it.

    Raises:
        UnknownGround: If the site has no such pocket.
        PlanError: If no hole fits in it.
    """
    page = find_pocket_layout(site_id, code)
    if page is None:
        raise UnknownGround(f"There is no pocket {code}. Draw it first.")
    if page.drawing is None or page.setting_out is None or page.numbers is None:
        raise PlanError(page.problem)
    pocket = page.pocket
    return PocketSheet(
        title=f"Pocket {pocket.code}, {pocket.name}",
        site=page.place.name,
        facts=_facts(page, system),
        check=page.setting_out.say_check(system),
        drawing=draw_in(page.drawing, system),
        lines=tuple(_line(run, system) for run in page.rows),
        steps=tuple(say_in(step, system) for step in _steps(page)),
        cautions=tuple(say_in(words, system) for words in _cautions(page, on)),
        foot=f"{page.place.name} · pocket {pocket.code} · printed {printed} · "
        f"{'metres' if system is System.METRIC else 'feet and inches'}, north is up",
    )


def _facts(page: PocketLayout, system: System) -> tuple[str, ...]:
    values, numbers, table = page.values, page.numbers, page.setting_out
    assert numbers is not None
    assert table is not None
    a, b = table.peg_a, table.peg_b
    return (
        f"{page.area.name}. {numbers.count} holes, "
        f"{format_tool(values['diameter_mm'] / 1000, system)} wide, "
        f"{_sizes(values, system)}; "
        f"{numbers.hole_share_of_pocket:.1%} of the pocket.",
        f"Peg A: {_along(a[0], system)} east, {_along(a[1], system)} north of the site’s peg. "
        f"Peg B: {_along(b[0], system)} east, {_along(b[1], system)} north.",
    )


def _sizes(values: Mapping[str, float], system: System) -> str:
    return say_in(f"{values['depth_mm']:g} mm deep, {values['spacing_mm']:g} mm apart", system)


def _along(length_m: float, system: System) -> str:
    return f"{format_tape(length_m, system)}{' m' if system is System.METRIC else ''}"


def _line(run: RowRun, system: System) -> PocketLine:
    alone = run.count == 1
    fine = run.step
    if system is not System.METRIC:
        fine = format_tape(run.even_step_m, system, per_inch=16)
    return PocketLine(
        run.names,
        str(run.count),
        format_tape(run.offset_m, system),
        format_tape(run.first.along_m, system),
        "" if alone else fine,
        "" if alone else format_tape(run.last.along_m, system),
    )


def _steps(page: PocketLayout) -> tuple[str, ...]:
    return (
        "Set pegs A and B and check the distance between them.",
        "Lay one tape from A past B and pin it; beyond A the table has a minus.",
        "Row by row: go to First on the tape, then Off square to the left, and mark the hole. "
        "Go on by Step to Last.",
        "Check the first and the last hole of a row against the drawing before boring.",
        f"Bore to {page.values['depth_mm']:g} mm, roughen the wall, lift the spoil out; "
        "fill every hole before the session ends.",
    )


def _cautions(page: PocketLayout, on: date) -> tuple[str, ...]:
    words = [
        "Bore only with a locate in date and the marks still on the ground. No marks does not "
        "mean no lines.",
        "Stop at a root over 25 mm, at rubble, at anything that is not soil: skip the hole and "
        "write its name down.",
        "Do not bore when water drips from a squeezed handful, or when the ground is frozen.",
    ]
    digging = judge_history(read_history(page.area), on=on)
    if not digging.young_may_dig:
        words.insert(0, f"{digging.because} {digging.digging.value.capitalize()}.")
    return tuple(words)
