"""A planned task as plain JSON values and back, without loss.

For keeping a task's content whole in one column, and for the problem documents.
Not a schema for other programs: keys are the dataclass field names.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict
from hashlib import sha256
from typing import Any

from orchard.domain.effort import Effort
from orchard.domain.place import Outline
from orchard.domain.plan import (
    After,
    Caution,
    Hole,
    MaterialNeed,
    PlannedTask,
    SeasonWindow,
    SkillNeed,
    ToolNeed,
)


def encode_task(task: PlannedTask) -> dict[str, Any]:
    """Return the task as JSON-ready dicts, lists, numbers and strings."""
    encoded: dict[str, Any] = json.loads(json.dumps(asdict(task)))
    return encoded


def digest_task(encoded: Mapping[str, Any]) -> str:
    """Return a SHA-256 hex digest that is equal exactly for equal contents."""
    canonical = json.dumps(encoded, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return sha256(canonical.encode()).hexdigest()


def decode_task(encoded: Mapping[str, Any]) -> PlannedTask:
    """Return the task that `encode_task` was given.

    Raises:
        KeyError: If a field is missing: the content was kept by another version.
    """
    plain = dict(encoded)
    plain["effort"] = Effort(**plain["effort"])
    plain["trees"] = tuple(plain["trees"])
    plain["skills"] = tuple(SkillNeed(**need) for need in plain["skills"])
    plain["tools"] = tuple(ToolNeed(**need) for need in plain["tools"])
    plain["materials"] = tuple(MaterialNeed(**need) for need in plain["materials"])
    plain["windows"] = tuple(
        SeasonWindow(_pair(window["first"]), _pair(window["last"])) for window in plain["windows"]
    )
    plain["after"] = tuple(After(**after) for after in plain["after"])
    plain["holes"] = tuple(
        Hole(hole["number"], (hole["at"][0], hole["at"][1]), hole.get("name", ""))
        for hole in plain["holes"]
    )
    plain["ground"] = tuple(_outline(points) for points in plain["ground"])
    plain["steps"] = tuple(plain["steps"])
    plain["cautions"] = tuple(Caution(**caution) for caution in plain["cautions"])
    return PlannedTask(**plain)


def _pair(values: list[int]) -> tuple[int, int]:
    return values[0], values[1]


def _outline(points: list[list[float]]) -> Outline:
    return tuple((point[0], point[1]) for point in points)
