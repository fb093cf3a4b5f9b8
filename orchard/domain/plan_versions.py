"""What a plan says, as one value that can be kept and compared with another.

For the history of a plan. Not for breaking it down: `breakdown` does that.
"""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from typing import Any

from orchard.domain.drawing_words import list_words
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import list_tags
from orchard.domain.plan import Parameter, PlannedTreatment
from orchard.domain.treatment import ParameterSpec
from orchard.domain.treatments import TREATMENTS

_GROUNDS = ("trees", "pockets", "areas")


@dataclass(frozen=True, slots=True)
class PlanContent:
    """Everything a coordinator writes in a plan; money in cents."""

    title: str
    budget_cents: int
    lines: tuple[PlannedTreatment, ...]


def encode_content(content: PlanContent) -> dict[str, Any]:
    """Return a plan's content as JSON-ready dicts, lists, numbers and strings."""
    encoded = asdict(content)
    encoded["lines"] = [_encode_line(line) for line in content.lines]
    return encoded


def decode_content(encoded: Mapping[str, Any]) -> PlanContent:
    """Return the content that `encode_content` was given; unknown keys are left aside."""
    return PlanContent(
        title=str(encoded["title"]),
        budget_cents=int(encoded["budget_cents"]),
        lines=tuple(_decode_line(line) for line in encoded["lines"]),
    )


def say_differences(before: PlanContent, after: PlanContent) -> tuple[str, ...]:
    """Return what changed from one content to another, a sentence for each change.

    Returns:
        Nothing when both say the same.
    """
    sentences: list[str] = []
    if before.title != after.title:
        sentences.append(f"Title “{before.title}” becomes “{after.title}”.")
    if before.budget_cents != after.budget_cents:
        old, new = before.budget_cents / 100, after.budget_cents / 100
        sentences.append(f"Budget {old:,.2f} becomes {new:,.2f}.")
    old_lines = {line.key: line for line in before.lines}
    new_lines = {line.key: line for line in after.lines}
    sentences += [
        f"Added {_name(line)} ({key}) for {_say_ground(line)}."
        for key, line in new_lines.items()
        if key not in old_lines
    ]
    sentences += [
        f"Took out {_name(line)} ({key})."
        for key, line in old_lines.items()
        if key not in new_lines
    ]
    for key, line in new_lines.items():
        if key in old_lines:
            sentences += _line_differences(old_lines[key], line)
    kept_before = [key for key in old_lines if key in new_lines]
    kept_after = [key for key in new_lines if key in old_lines]
    if kept_before != kept_after:
        sentences.append(f"The order becomes {list_words(kept_after)}.")
    return tuple(sentences)


def _encode_line(line: PlannedTreatment) -> dict[str, Any]:
    encoded = asdict(line)
    encoded["parameters"] = {given.name: given.value for given in line.parameters}
    return {
        name: list(value) if isinstance(value, tuple) else value for name, value in encoded.items()
    }


def _decode_line(encoded: Mapping[str, Any]) -> PlannedTreatment:
    known = {field.name for field in fields(PlannedTreatment)}
    plain = {name: value for name, value in encoded.items() if name in known}
    for name in _GROUNDS:
        if name in plain:
            plain[name] = tuple(plain[name])
    plain["parameters"] = tuple(
        Parameter(name, float(value)) for name, value in sorted(plain["parameters"].items())
    )
    return PlannedTreatment(**plain)


def _name(line: PlannedTreatment) -> str:
    return next((one.name for one in TREATMENTS if one.code == line.treatment), line.treatment)


def _say_ground(line: PlannedTreatment) -> str:
    parts = []
    if line.trees:
        parts.append(list_tags(sorted(line.trees, key=natural_key)))
    if line.pockets:
        codes = sorted(line.pockets, key=natural_key)
        parts.append(f"{'pocket' if len(codes) == 1 else 'pockets'} {list_words(codes)}")
    areas = sorted(getattr(line, "areas", ()), key=natural_key)
    if areas:
        parts.append(f"{'area' if len(areas) == 1 else 'areas'} {list_words(areas)}")
    return list_words(parts) or "no ground"


def _line_differences(old: PlannedTreatment, new: PlannedTreatment) -> list[str]:
    what = f"{_name(new)} ({new.key})"
    found: list[str] = []
    if old.treatment != new.treatment:
        found.append(f"{new.key}: {_name(old)} becomes {_name(new)}.")
    if _say_ground(old) != _say_ground(new):
        found.append(f"{what}: the ground {_say_ground(old)} becomes {_say_ground(new)}.")
    if old.priority != new.priority:
        found.append(f"{what}: priority {old.priority} becomes {new.priority}.")
    specs = _specs(new.treatment)
    was = {given.name: given.value for given in old.parameters}
    now = {given.name: given.value for given in new.parameters}
    for name in sorted({*was, *now}):
        spec = specs.get(name)
        if was.get(name) != now.get(name):
            label = spec.label if spec else name
            old_words, new_words = _words(spec, was.get(name)), _words(spec, now.get(name))
            found.append(f"{what}: {label} {old_words} becomes {new_words}.")
    return found


def _specs(treatment: str) -> dict[str, ParameterSpec]:
    for one in TREATMENTS:
        if one.code == treatment:
            return {spec.name: spec for spec in one.parameters}
    return {}


def _words(spec: ParameterSpec | None, value: float | None) -> str:
    if value is None:
        return f"the usual {spec.words(spec.default)}" if spec else "the usual"
    if spec is None or (spec.choices and not spec.least <= value <= spec.most):
        return f"{value:g}"
    return spec.words(value)
