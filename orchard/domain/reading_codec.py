"""A reading as plain JSON values and back, and in a few words for a list.

For keeping what was found whole in one column. Not for judging: `diagnosis`.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict
from datetime import date
from typing import Any

from orchard.domain.readings import (
    AreaReadings,
    Cone,
    CoreSample,
    Feel,
    LabResult,
    Moisture,
    PenetrometerProfile,
    PercolationHole,
    PercolationTest,
    ProfilePoint,
    RibbonTest,
    SpadeLayer,
    SpadeTest,
    Squeeze,
    TextureClass,
    Thread,
    WorkabilityTest,
)

Reading = (
    PenetrometerProfile
    | CoreSample
    | PercolationTest
    | SpadeTest
    | RibbonTest
    | WorkabilityTest
    | LabResult
)

KINDS: dict[type, str] = {
    PenetrometerProfile: "penetrometer",
    CoreSample: "bulk density",
    PercolationTest: "percolation",
    SpadeTest: "spade test",
    RibbonTest: "texture",
    WorkabilityTest: "workability",
    LabResult: "laboratory",
}
"""The word each sort of reading is kept under."""

_FIELDS = {
    "penetrometer": "penetrometer",
    "bulk density": "cores",
    "percolation": "percolation",
    "spade test": "spade",
    "texture": "ribbons",
    "workability": "workability",
    "laboratory": "lab",
}


def encode_reading(reading: Reading) -> dict[str, Any]:
    """Return what was found as JSON-ready values; code and day are kept beside it."""
    plain = {name: value for name, value in asdict(reading).items() if name not in ("code", "on")}
    encoded: dict[str, Any] = json.loads(json.dumps(plain))
    return encoded


def decode_reading(kind: str, code: str, on: date, details: Mapping[str, Any]) -> Reading:
    """Return the reading that `encode_reading` was given.

    Raises:
        KeyError: If the kind is unknown or a field is missing.
    """
    plain = dict(details)
    if kind == "penetrometer":
        plain["moisture"] = Moisture(plain["moisture"])
        plain["points"] = tuple(ProfilePoint(**point) for point in plain["points"])
        plain["cone"] = Cone(plain["cone"]) if plain.get("cone") else None
        return PenetrometerProfile(code, on, **plain)
    if kind == "bulk density":
        plain["texture"] = TextureClass(plain["texture"])
        return CoreSample(code, on, **plain)
    if kind == "percolation":
        plain["hole"] = PercolationHole(plain["hole"])
        return PercolationTest(code, on, **plain)
    if kind == "spade test":
        plain["moisture"] = Moisture(plain["moisture"])
        plain["layers"] = tuple(SpadeLayer(**layer) for layer in plain["layers"])
        return SpadeTest(code, on, **plain)
    if kind == "texture":
        return RibbonTest(code, on, **{**plain, "feel": Feel(plain["feel"])})
    if kind == "workability":
        plain["squeeze"] = Squeeze(plain["squeeze"]) if plain.get("squeeze") else None
        plain["thread"] = Thread(plain["thread"]) if plain.get("thread") else None
        return WorkabilityTest(code, on, **plain)
    return {"laboratory": LabResult}[kind](code, on, **plain)


def gather_readings(readings: tuple[Reading, ...]) -> AreaReadings:
    """Return readings of one area sorted by kind, each kind in the order given."""
    found: dict[str, list[Reading]] = {name: [] for name in _FIELDS.values()}
    for reading in readings:
        found[_FIELDS[KINDS[type(reading)]]].append(reading)
    return AreaReadings(**{name: tuple(group) for name, group in found.items()})  # type: ignore[arg-type]


def say_reading(reading: Reading) -> str:
    """Return what was found in a few words, metric."""
    if isinstance(reading, PenetrometerProfile):
        return _say_profile(reading)
    if isinstance(reading, CoreSample):
        density = reading.dry_mass_g / reading.volume_cm3
        return f"{density:.2f} g/cm³ at {reading.depth_cm:g} cm, {reading.texture.value}"
    if isinstance(reading, PercolationTest):
        if reading.hours_to_drain is None:
            return f"hole {reading.hole.value}: water still stood after {reading.stood_hours:g} h"
        return f"hole {reading.hole.value}: empty after {reading.hours_to_drain:g} h"
    if isinstance(reading, SpadeTest):
        layers = "; ".join(f"{one.thickness_cm:g} cm: {one.score:g}" for one in reading.layers)
        worms = "" if reading.worms is None else f"; {reading.worms} worms"
        return f"scores from the top: {layers}{worms}"
    if isinstance(reading, RibbonTest):
        if not reading.makes_ball:
            return "makes no ball"
        return f"ribbon of {reading.ribbon_cm:g} cm, {reading.feel.value}"
    if isinstance(reading, WorkabilityTest):
        parts = [one.value for one in (reading.squeeze, reading.thread) if one]
        if reading.frozen_crust_cm:
            parts.append(f"{reading.frozen_crust_cm:g} cm frozen")
        return "; ".join(parts) or "nothing written down"
    return _say_lab(reading)


def _say_profile(profile: PenetrometerProfile) -> str:
    points = ", ".join(
        f"{point.depth_cm:g} cm: "
        + ("stopped" if point.pressure_mpa is None else f"{point.pressure_mpa:.2f}")
        for point in profile.points
    )
    return f"MPa at {points}"


def _say_lab(result: LabResult) -> str:
    parts = []
    if result.ph is not None:
        parts.append(f"pH {result.ph:g}")
    if result.organic_matter_percent is not None:
        parts.append(f"organic matter {result.organic_matter_percent:g} %")
    if result.salts_ds_m is not None:
        parts.append(f"salts {result.salts_ds_m:g} dS/m")
    return ", ".join(parts) or "nothing written down"
