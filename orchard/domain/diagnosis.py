"""The verdict on an area's ground: evidence, what is missing, what contradicts, what next.

Front door: `diagnose_area`. The worst of penetrometer, dried cores and spade
tests decides. Not for saying that ground is safe to handle; that gate is
`ground_history`, whose verdict is carried along.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from orchard.domain.density import AIR_LEAST
from orchard.domain.evidence import EvidenceLine as EvidenceLine
from orchard.domain.evidence import GroundVerdict as GroundVerdict
from orchard.domain.evidence import (
    Weighed,
    list_other_lines,
    weigh_cores,
    weigh_penetrometer,
    weigh_spade,
)
from orchard.domain.feel import SPADE_TESTS_WANTED, guess_texture
from orchard.domain.ground_history import Digging, GroundHistory, HistoryVerdict, judge_history
from orchard.domain.laboratory import LabLimits
from orchard.domain.place import Hardness
from orchard.domain.plan import AreaHardness
from orchard.domain.readings import AreaReadings, Moisture, Squeeze, TextureClass
from orchard.domain.soil import ASSUMED_FIRM

STALE_YEARS = 3
"""Readings older than this are called old; invented default."""


@dataclass(frozen=True, slots=True)
class SoilLimits:
    """What a site may set for itself; the readings' own tables stay as published."""

    spade_tests_wanted: int = SPADE_TESTS_WANTED
    penetrometer_points_wanted: int = 10
    stale_years: int = STALE_YEARS
    lab: LabLimits = field(default_factory=LabLimits)


DEFAULT_LIMITS = SoilLimits()


@dataclass(frozen=True, slots=True)
class AreaDiagnosis:
    """The verdict on one area, for the page and for the plan."""

    area: str
    verdict: GroundVerdict
    hardness: Hardness
    because: str
    evidence: tuple[EvidenceLine, ...]
    missing: tuple[str, ...]
    contradictions: tuple[str, ...]
    next_steps: tuple[str, ...]
    digging: HistoryVerdict

    def to_hardness(self) -> AreaHardness:
        """Return the verdict as a plan carries it."""
        return AreaHardness(self.area, self.hardness, self.because)


def diagnose_area(
    area: str,
    readings: AreaReadings,
    history: GroundHistory,
    *,
    on: date,
    limits: SoilLimits = DEFAULT_LIMITS,
) -> AreaDiagnosis:
    """Return the verdict on an area's ground, with everything it rests on.

    Args:
        area: Code of the area.
        readings: All readings of the area up to the day.
        history: What is on record about its past.
        on: The day of the verdict.
        limits: What the site has set for itself.

    Raises:
        GroundError: If a reading cannot be, such as a negative pressure.

    Source:
        Each line of evidence names its own. That the worst of the three kinds
        of reading decides is this project's choice, on the safe side.

    Assumes:
        With no valid reading the ground is not known, and bored as firm.
    """
    weighed = (weigh_penetrometer(readings), weigh_cores(readings), weigh_spade(readings))
    order, hard_order = list(GroundVerdict), list(Hardness)
    levels = [part.level for part in weighed if part.level]
    verdict = max(levels, key=order.index) if levels else GroundVerdict.UNKNOWN
    hards = [part.hardness for part in weighed if part.hardness]
    if weighed[2].level in (GroundVerdict.HINDERED, GroundVerdict.COMPACTED) and not hards:
        hards = [Hardness.FIRM]
    hardness = max(hards, key=hard_order.index) if hards else Hardness.FIRM
    evidence = (
        *(line for part in weighed for line in part.lines),
        *list_other_lines(readings, limits.lab),
    )
    deciding = [
        line.text
        for part in weighed
        for line in part.lines[:1]
        if line.counts and part.level is verdict
    ]
    digging = judge_history(history, on=on)
    return AreaDiagnosis(
        area,
        verdict,
        hardness,
        " ".join(deciding) if deciding else ASSUMED_FIRM,
        evidence,
        _missing(readings, weighed, history, on, limits),
        _contradictions(readings, weighed),
        _next_steps(verdict, evidence, digging),
        digging,
    )


def _missing(
    readings: AreaReadings,
    weighed: tuple[Weighed, ...],
    history: GroundHistory,
    on: date,
    limits: SoilLimits,
) -> tuple[str, ...]:
    pushes, cores, spades = weighed
    found: list[str] = []
    points = sum(len(p.points) for p in readings.penetrometer if p.moisture is Moisture.MOIST)
    if pushes.level is None:
        found.append("A penetrometer profile a day or two after full rain; none counts yet.")
    elif points < limits.penetrometer_points_wanted:
        found.append(
            f"{limits.penetrometer_points_wanted - points} more moist penetrometer points; "
            f"{points} are few to judge an area by (invented least: "
            f"{limits.penetrometer_points_wanted})."
        )
    blocks = sum(line.counts for line in spades.lines) and len(
        [test for test in readings.spade if test.moisture is Moisture.MOIST]
    )
    if blocks < limits.spade_tests_wanted:
        found.append(
            f"{limits.spade_tests_wanted - blocks} more spade tests in moist soil; at least "
            f"{limits.spade_tests_wanted} an area, about 15 minutes each (Teagasc)."
        )
    if not cores.lines:
        found.append("A dried core for bulk density: the only figure that moisture cannot bend.")
    if not (readings.ribbons or readings.cores):
        found.append("Texture by feel: the bulk density limits depend on it.")
    if not readings.percolation:
        found.append("A percolation test: compaction and standing water look alike to a tree.")
    if not any(lab.ph is not None for lab in readings.lab):
        found.append("A laboratory's pH and organic matter.")
    unknown_cones = [p.code for p in readings.penetrometer if p.cone is None]
    if unknown_cones:
        found.append(f"Which cone was used for {', '.join(unknown_cones)}: each has its own scale.")
    if not history.past_use.strip():
        found.append("What stood or was done here before.")
    if history.soil_test_on is None:
        found.append("A soil test for taint." if history.was_building else "Any soil test.")
    dated = [(push.code, push.on) for push in readings.penetrometer]
    dated += [(core.code, core.on) for core in readings.cores]
    dated += [(spade.code, spade.on) for spade in readings.spade]
    old = sorted(code for code, day in dated if (on - day).days > limits.stale_years * 365)
    if old:
        found.append(
            f"Newer readings in place of {', '.join(old)}: over {limits.stale_years} years old."
        )
    return tuple(found)


def _contradictions(readings: AreaReadings, weighed: tuple[Weighed, ...]) -> tuple[str, ...]:
    names = ("The penetrometer", "the dried cores", "the spade tests")
    order = list(GroundVerdict)
    found: list[str] = []
    for one in range(3):
        for other in range(one + 1, 3):
            first, second = weighed[one].level, weighed[other].level
            if first and second and abs(order.index(first) - order.index(second)) >= 2:
                found.append(
                    f"{names[one].capitalize()} say{'s' if one == 0 else ''} {first.value}, "
                    f"{names[other]} say {second.value}; the worse counts until read again."
                )
    compacted = any(
        part.level in (GroundVerdict.COMPACTED, GroundVerdict.SEVERE) for part in weighed
    )
    fast = [
        line
        for line in list_other_lines(readings, LabLimits())
        if line.subject == "drainage" and line.counts and line.verdict in ("fast", "good")
    ]
    if compacted and fast:
        found.append(
            f"Water drains well ({fast[0].text.rstrip('.')}) from ground called compacted: look "
            "for cracks, rubble or a void below the hole."
        )
    by_feel = {guess_texture(test)[0] for test in readings.ribbons}
    in_cores = {core.texture for core in readings.cores}
    if by_feel and in_cores and not by_feel & in_cores:
        found.append(
            f"By feel the soil is {_either(by_feel)}, but its cores are entered as "
            f"{_either(in_cores)}; the density limits differ. Feel it again."
        )
    for test in readings.workability:
        same_day = [
            p.code
            for p in readings.penetrometer
            if p.on == test.on and p.moisture is Moisture.MOIST
        ]
        if same_day and test.squeeze in (Squeeze.DRIPS, Squeeze.NO_BALL):
            found.append(
                f"{', '.join(same_day)} is entered as moist, but on the same day the squeeze test "
                f"says: {test.squeeze.value}. One of the two is wrong."
            )
    return tuple(found)


def _next_steps(
    verdict: GroundVerdict, evidence: tuple[EvidenceLine, ...], digging: HistoryVerdict
) -> tuple[str, ...]:
    steps = list(digging.next_steps)
    wet = any(
        line.subject == "drainage" and line.counts and line.verdict in ("too slow", "poor")
        for line in evidence
    )
    if wet:
        steps.append("Find out why water stands (level, pan, pipe) before anything is planted.")
    if verdict is GroundVerdict.UNKNOWN:
        steps.append("Read the ground a day or two after full rain, before any boring is planned.")
    else:
        steps.append("Mulch the rings with wood chips: the best single treatment in the trials.")
    if verdict in (GroundVerdict.COMPACTED, GroundVerdict.SEVERE):
        steps.append(
            "Compare ways of loosening by hours and money; cores are contested, so keep a "
            "mulch-only and an untreated pocket."
        )
    if any(line.subject == "air" and line.verdict == "low" for line in evidence):
        steps.append(f"Keep feet and wheels off: less than {AIR_LEAST:.0%} of the soil is air.")
    if digging.digging is Digging.ON_RECORD and verdict is not GroundVerdict.UNKNOWN:
        steps.append("Read the same points again after two seasons.")
    return tuple(steps)


def _either(textures: Iterable[TextureClass]) -> str:
    return " or ".join(sorted(str(texture) for texture in textures))
