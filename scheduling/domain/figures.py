"""The figures of a rule set one by one: to list them with their sources, and to change them.

Front doors: `list_figures`, `change_figures`. Figures are found by walking the
set, so that a part added to `rule_set` is listed without a line here. Not for
adding bands, rows or whole parts: that is a new set.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import date
from enum import StrEnum
from typing import Any

from orchard.domain.errors import PlannerError
from scheduling.domain.figure_words import (
    label_figure,
    name_ages,
    name_entry,
    name_part,
    unit_of,
)
from scheduling.domain.rule_set import ByAge, HeatStep, RatioBand, RuleSet, ToolCell

LARGEST = 100_000  # larger than any figure of the book; a slip of the pen
MAY_BE_BELOW_0 = ("_c",)  # temperatures
# Words, dates and the ages that order a table are not figures to change one by one.
NOT_FIGURES = frozenset(
    {
        "sources", "notes", "name", "source", "status", "checked_on", "code", "place", "note",
        "assessed_by", "assessed_on", "oldest", "youngest", "text", "tools", "kinds",
    }
)  # fmt: skip


class FigureRefused(PlannerError):
    """A change of a rule set that cannot be: an unknown figure, or no such value."""

    code = "rule_set.figure_refused"


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a set, with where it stands in it and where it is from.

    `path` names it: "loads.carry_kg.2.figure". `kind` is "whole", "decimal",
    "yes or no" or "choice"; `shown` is the value as a form takes it back.
    """

    path: str
    part: str
    group: str
    label: str
    unit: str
    kind: str
    value: Any
    shown: str
    choices: tuple[str, ...]
    source: str
    status: str
    checked_on: date


def list_figures(rules: RuleSet) -> tuple[Figure, ...]:
    """Return every figure of a set, part by part, in the order it is written."""
    found: list[Figure] = []
    for one in fields(rules):
        part = getattr(rules, one.name)
        if is_dataclass(part):
            found += _walk(rules, part, one.name, (one.name,), "")
    return tuple(found)


def _walk(
    rules: RuleSet, value: Any, part: str, path: tuple[str, ...], group: str
) -> Iterator[Figure]:
    for one in fields(value):
        if one.name in NOT_FIGURES:
            continue
        inner = getattr(value, one.name)
        if one.name == "powered" and isinstance(inner, bool):
            continue  # what a tool is, not what is asked of it
        here = (*path, one.name)
        if isinstance(inner, tuple):
            for number, entry in enumerate(inner):
                if is_dataclass(entry):
                    said = name_entry(entry)
                    under = f"{group}, {said}" if group else said
                    if isinstance(entry, ByAge | HeatStep):
                        under = f"{label_figure(one.name)}, {said}"
                    yield from _walk(rules, entry, part, (*here, str(number)), under)
        elif is_dataclass(inner):
            yield from _walk(rules, inner, part, here, name_entry(inner) or group)
        elif isinstance(inner, bool | int | float | StrEnum):
            kind = "decimal" if one.type is float else _kind(inner)
            yield _figure(rules, part, here, group, inner, kind)


def _figure(
    rules: RuleSet, part: str, path: tuple[str, ...], group: str, value: Any, kind: str
) -> Figure:
    source, status, checked_on = _stands_behind(rules, part, path[1])
    words = label_figure(path[-1])
    return Figure(
        path=".".join(path),
        part=name_part(part),
        group=group,
        label=words,
        unit=unit_of(path),
        kind=kind,
        value=value,
        shown=show_value(value),
        choices=tuple(type(value)) if isinstance(value, StrEnum) else (),
        source=source,
        status=status,
        checked_on=checked_on,
    )


def _stands_behind(rules: RuleSet, part: str, figure: str) -> tuple[str, str, date]:
    held = getattr(rules, part)
    for one in getattr(held, "sources", ()):
        if one.figure == figure:
            return one.source, one.status, one.checked_on
    if part == "supervision":
        return held.source, held.status, held.checked_on
    return rules.source, rules.status, rules.checked_on


def _kind(value: Any) -> str:
    if isinstance(value, bool):
        return "yes or no"
    if isinstance(value, StrEnum):
        return "choice"
    return "whole" if isinstance(value, int) else "decimal"


def show_value(value: Any) -> str:
    """Return a figure as a page shows it and a form takes it back."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, StrEnum):
        return str(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def change_figures(rules: RuleSet, changes: Mapping[str, str]) -> RuleSet:
    """Return the set with some figures changed; the version stays for the caller to raise.

    Args:
        rules: The set.
        changes: New values as typed, by the paths of `list_figures`.

    Raises:
        FigureRefused: If a path is unknown, a value is no such figure, or a
            table's steps would no longer rise.
    """
    known = {figure.path: figure for figure in list_figures(rules)}
    changed = rules
    for path, typed in sorted(changes.items()):
        if path not in known:
            raise FigureRefused(
                f"Rule set {rules.code} has no figure “{path}”. Reload the page and change one it "
                "lists."
            )
        changed = _put(changed, path.split("."), _parse(known[path], typed.strip()))
    _refuse_falling_steps(changed)
    return changed


def _parse(figure: Figure, typed: str) -> Any:
    said = f"{figure.label.capitalize()} is “{typed}”"
    if figure.kind == "yes or no":
        if typed not in ("yes", "no"):
            raise FigureRefused(f"{said}; it is yes or no.")
        return typed == "yes"
    if figure.kind == "choice":
        if typed not in figure.choices:
            raise FigureRefused(f"{said}; it is one of {', '.join(figure.choices)}.")
        return type(figure.value)(typed)
    try:
        value = int(typed) if figure.kind == "whole" else float(typed)
    except ValueError:
        number = "a whole number" if figure.kind == "whole" else "a number such as 1.5"
        raise FigureRefused(f"{said}; it must be {number}.") from None
    least = -LARGEST if figure.path.endswith(MAY_BE_BELOW_0) else 0
    if not least <= value <= LARGEST:
        raise FigureRefused(f"{said}; it must be from {least} to {LARGEST}. Type it again.")
    return value


def _put(value: Any, path: list[str], new: Any) -> Any:
    """Return a frozen value with one thing inside it replaced."""
    name, rest = path[0], path[1:]
    if isinstance(value, tuple):
        at = int(name)
        inner = new if not rest else _put(value[at], rest, new)
        return (*value[:at], inner, *value[at + 1 :])
    inner = new if not rest else _put(getattr(value, name), rest, new)
    return replace(value, **{name: inner})


def _refuse_falling_steps(rules: RuleSet) -> None:
    plans = (
        ()
        if rules.heat is None
        else (
            rules.heat.moderate_unacclimatised,
            rules.heat.light_unacclimatised,
            rules.heat.children_wbgt,
        )
    )
    for steps in plans:
        values = [step.from_value for step in steps]
        if values != sorted(set(values)):
            raise FigureRefused(
                f"The steps of a heat plan begin at {', '.join(f'{v:g}' for v in values)}; each "
                "must begin above the one before it. Put them in rising order."
            )


def describe_bands(bands: tuple[RatioBand, ...]) -> str:
    """Return a table of ratios in one line: "to 8 years 1 to 6; to 12 years 1 to 8"."""
    said = []
    for band in bands:
        until = name_ages(band.oldest)
        ratio = f"1 to {band.per_adult}" if band.per_adult else "no number"
        more = f" and {band.plus_leaders} more" if band.plus_leaders else ""
        least = f", at least {band.least_adults}" if band.least_adults else ""
        said.append(f"{f'{band.name}, ' if band.name else ''}{until} {ratio}{more}{least}")
    return "; ".join(said)


def describe_cell(cell: ToolCell) -> str:
    """Return one cell of the matrix of tools by age as the book prints it: "C, T, pairs"."""
    marks = [str(cell.watch)]
    marks += ["T"] if cell.briefing else []
    marks += ["in pairs"] if cell.in_pairs else []
    marks += [f"to {cell.most_kg} kg"] if cell.most_kg else []
    marks += [cell.note] if cell.note else []
    return ", ".join(marks)
