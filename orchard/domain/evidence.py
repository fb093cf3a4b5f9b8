"""Each kind of reading as lines of evidence, with its level where it bears on compaction.

For `diagnosis`, which weighs the lines. Nothing here decides.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from orchard.domain.citing import Citation, Status
from orchard.domain.density import AIR_CITATION, AIR_LEAST, judge_core
from orchard.domain.drainage import judge_percolation
from orchard.domain.feel import (
    RIBBON,
    VESS,
    SpadeVerdict,
    guess_texture,
    judge_spade,
    judge_workability,
    name_score,
)
from orchard.domain.laboratory import LabLimits, judge_soil_lab
from orchard.domain.penetration import BANDS, SHARE, judge_profiles
from orchard.domain.place import Hardness
from orchard.domain.readings import AreaReadings
from orchard.domain.soil import Density, Resistance


class GroundVerdict(StrEnum):
    """What the readings say of roots in an area."""

    UNKNOWN = "not known"
    OPEN = "open"
    HINDERED = "hindered"
    COMPACTED = "compacted"
    SEVERE = "severely compacted"


@dataclass(frozen=True, slots=True)
class EvidenceLine:
    """One thing the readings say, with who says so. `counts` is False for one set aside."""

    subject: str  # "penetrometer", "bulk density", "air", "drainage", "spade test", ...
    text: str
    verdict: str
    citation: Citation
    readings: tuple[str, ...]  # codes of the readings behind it
    counts: bool = True


@dataclass(frozen=True, slots=True)
class Weighed:
    """Lines of one kind of reading, and what they come to for roots and for boring."""

    lines: tuple[EvidenceLine, ...]
    level: GroundVerdict | None = None
    hardness: Hardness | None = None


def weigh_penetrometer(readings: AreaReadings) -> Weighed:
    """Return what the penetrometer says, profiles that do not count set aside by name."""
    judged = judge_profiles(readings.penetrometer)
    lines = [
        EvidenceLine(
            "penetrometer",
            f"{code} is not valid: {why}.",
            "not valid",
            BANDS,
            (code,),
            counts=False,
        )
        for code, why in judged.aside
    ]
    if judged.middle_mpa is None:
        return Weighed(tuple(lines))
    middle = "the cone stopped" if math.isinf(judged.middle_mpa) else f"{judged.middle_mpa:.2f} MPa"
    pan = (
        f" Over 300 psi from {judged.pan_from_cm:g} to {judged.pan_to_cm:g} cm."
        if judged.pan_from_cm is not None
        else ""
    )
    main = EvidenceLine(
        "penetrometer",
        f"{len(judged.counted)} moist {_plural(len(judged.counted), 'profile')}, "
        f"{judged.points} points: middle {middle}, {judged.resistance.value} for roots.{pan}",
        judged.resistance.value,
        BANDS,
        judged.counted,
    )
    share = EvidenceLine(
        "share over 300 psi",
        f"{judged.share_over:.0%} of the points are over 300 psi: {judged.share_words}.",
        judged.share_words,
        SHARE,
        judged.counted,
    )
    level, hardness = _BY_RESISTANCE[judged.resistance]
    return Weighed((main, share, *lines), level, hardness)


def weigh_cores(readings: AreaReadings) -> Weighed:
    """Return what dried cores say: the middle one of them, and air where it was weighed wet."""
    if not readings.cores:
        return Weighed(())
    judged = [(core, judge_core(core)) for core in readings.cores]
    order = list(Density)
    judged.sort(key=lambda found: (order.index(found[1].verdict), found[1].density_g_cm3))
    core, middle = judged[len(judged) // 2]
    lines = [
        EvidenceLine(
            "bulk density",
            f"{len(judged)} dried {_plural(len(judged), 'core')}, the middle one {core.code}: "
            f"{middle.text} Pores {middle.porosity:.1%}.",
            middle.verdict.value,
            middle.citation,
            tuple(sorted(found.code for found, _ in judged)),
        )
    ]
    lines += [
        EvidenceLine(
            "air",
            f"{found.code}: {verdict.air_filled:.1%} of the soil is air-filled pores; under "
            f"{AIR_LEAST:.0%} roots want for air.",
            "low" if verdict.air_filled < AIR_LEAST else "enough",
            AIR_CITATION,
            (found.code,),
        )
        for found, verdict in judged
        if verdict.air_filled is not None
    ]
    level, hardness = _BY_DENSITY[middle.verdict]
    return Weighed(tuple(lines), level, hardness)


def weigh_spade(readings: AreaReadings) -> Weighed:
    """Return what spade tests say: their mean score; tests in dry or wet soil are set aside."""
    judged = [(test, judge_spade(test)) for test in readings.spade]
    counted = [(test, result) for test, result in judged if result.counts]
    lines = [
        EvidenceLine(
            "spade test",
            f"{test.code}: {result.text}",
            "not valid",
            VESS,
            (test.code,),
            counts=False,
        )
        for test, result in judged
        if not result.counts
    ]
    if not counted:
        return Weighed(tuple(lines))
    score = sum(result.score for _, result in counted) / len(counted)
    worst = max(result.worst_score for _, result in counted)
    verdict = name_score(score)
    main = EvidenceLine(
        "spade test",
        f"{len(counted)} {_plural(len(counted), 'block')}: mean score {score:.1f} "
        f"({verdict.value}), worst layer {worst:g}.",
        verdict.value,
        VESS,
        tuple(test.code for test, _ in counted),
    )
    return Weighed((main, *lines), _BY_SPADE[verdict])


def list_other_lines(readings: AreaReadings, limits: LabLimits) -> tuple[EvidenceLine, ...]:
    """Return the lines that bear on water, texture, the day's work and the laboratory."""
    lines: list[EvidenceLine] = []
    for test in readings.percolation:
        found = judge_percolation(test)
        lines.append(
            EvidenceLine(
                "drainage",
                f"{test.code}: {found.text}",
                found.verdict,
                found.citation,
                (test.code,),
                found.counts,
            )
        )
    for ribbon in readings.ribbons:
        texture, sentence = guess_texture(ribbon)
        lines.append(
            EvidenceLine(
                "texture", f"{ribbon.code}: {sentence}", texture.value, RIBBON, (ribbon.code,)
            )
        )
    for work in readings.workability:
        result = judge_workability(work)
        lines.append(
            EvidenceLine(
                "workability",
                f"{work.code}, {work.on}: {result.because}",
                result.verdict.value,
                result.citation,
                (work.code,),
            )
        )
    for lab in readings.lab:
        lines += [
            EvidenceLine(
                line.subject, f"{lab.code}: {line.text}", line.verdict, line.citation, (lab.code,)
            )
            for line in judge_soil_lab(lab, limits)
        ]
    for spade in readings.spade:
        if spade.worms is None:
            continue
        lines.append(
            EvidenceLine(
                "worms",
                f"{spade.code}: {spade.worms} worms in the block; over 10 in a cubic foot is "
                "called healthy where worms belong.",
                "healthy" if spade.worms > 10 else "few",
                Citation("soil-health indicator table, a block of 1 ft³", Status.VERIFIED),
                (spade.code,),
            )
        )
    return tuple(lines)


_BY_RESISTANCE: dict[Resistance, tuple[GroundVerdict, Hardness]] = {
    Resistance.LOOSE: (GroundVerdict.OPEN, Hardness.SOFT),
    Resistance.OPEN: (GroundVerdict.OPEN, Hardness.SOFT),
    Resistance.HINDERED: (GroundVerdict.HINDERED, Hardness.FIRM),
    Resistance.LIMITING: (GroundVerdict.COMPACTED, Hardness.FIRM),
    Resistance.SEVERE: (GroundVerdict.SEVERE, Hardness.HARD),
}

_BY_DENSITY: dict[Density, tuple[GroundVerdict, Hardness]] = {
    Density.IDEAL: (GroundVerdict.OPEN, Hardness.SOFT),
    Density.BETWEEN: (GroundVerdict.HINDERED, Hardness.FIRM),
    Density.AFFECTS: (GroundVerdict.HINDERED, Hardness.FIRM),
    Density.RESTRICTS: (GroundVerdict.COMPACTED, Hardness.HARD),
}

_BY_SPADE: dict[SpadeVerdict, GroundVerdict] = {
    SpadeVerdict.GOOD: GroundVerdict.OPEN,
    SpadeVerdict.MODERATE: GroundVerdict.HINDERED,
    SpadeVerdict.POOR: GroundVerdict.COMPACTED,
}


def _plural(count: int, word: str) -> str:
    return word if count == 1 else f"{word}s"
