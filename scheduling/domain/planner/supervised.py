"""`Supervised` as constraints: adults enough for the young people of each group.

Apart from `translate` because it is the longest kind; its meaning is stated in
`scheduling.domain.condition` and judged by `scheduling.domain.verify`.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from math import lcm

from ortools.sat.python import cp_model

from scheduling.domain.condition import Section, Supervised
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.rule_set import NO_NUMBER, Combining

Guard = cp_model.IntVar | None


@dataclass(frozen=True, slots=True)
class _There:
    """One section's cells in one group, and whether any is filled."""

    section: Section
    cells: list[cp_model.IntVar]
    any_here: cp_model.IntVar


def add_supervised(
    day: DayModel, condition: Supervised, groups: Iterable[list[Cell]], guard: Guard
) -> None:
    """Add the condition for every group of cells.

    Args:
        day: The model it is added to.
        condition: What is asked.
        groups: The selected cells of each group, filled or not.
        guard: Where given, the condition holds only when this variable is 1.
    """
    section_of = {p: i for i, section in enumerate(condition.sections) for p in section.people}
    adults = frozenset(condition.adults)
    for group in groups:
        sections: list[list[cp_model.IntVar]] = [[] for _ in condition.sections]
        counting: list[cp_model.IntVar] = []
        for cell in group:
            person, task, _ = cell
            if person in section_of:
                sections[section_of[person]].append(day.works[cell])
            if person in adults and task not in condition.not_at:
                counting.append(day.works[cell])
        there = [
            _There(section, cells, any_here)
            for section, cells in zip(condition.sections, sections, strict=True)
            if (any_here := day.any_of(cells)) is not None
        ]
        if there:
            _add_group(day, condition, there, total(counting), guard)


def _add_group(
    day: DayModel, condition: Supervised, there: list[_There], adults: Linear, guard: Guard
) -> None:
    anyone = day.any_of([part.any_here for part in there])
    if anyone is None:
        return
    added = total(part.section.plus * part.any_here for part in there if part.section.plus)
    if condition.plus:
        added = added + condition.plus * anyone
    by_ratio = adults - added
    if condition.least > 1 or all(part.section.per_adult == NO_NUMBER for part in there):
        _hold(day, adults >= condition.least * anyone, guard)
    for part in there:
        if part.section.least > condition.least:
            _hold(day, adults >= part.section.least * part.any_here, guard)
    numbered = [part for part in there if part.section.per_adult != NO_NUMBER]
    if not numbered:
        _hold(day, by_ratio >= 0, guard)
        return
    match condition.combining:
        case Combining.SUM:
            _add_sum(day, numbered, by_ratio, guard)
        case Combining.YOUNGEST:
            _add_youngest(day, there, numbered, by_ratio, guard)
        case Combining.SECTIONS:
            _add_sections(day, numbered, by_ratio, guard)


def _add_sum(day: DayModel, numbered: list[_There], by_ratio: Linear, guard: Guard) -> None:
    whole = lcm(*(part.section.per_adult for part in numbered))
    shares = total((whole // part.section.per_adult) * total(part.cells) for part in numbered)
    _hold(day, whole * by_ratio - shares >= 0, guard)


def _add_youngest(
    day: DayModel,
    there: list[_There],
    numbered: list[_There],
    by_ratio: Linear,
    guard: Guard,
) -> None:
    everyone = total(total(part.cells) for part in there)
    ratios = sorted({part.section.per_adult for part in numbered})
    if len(there) == len(numbered):
        # Implied by the triggers below, and a good deal stronger while searching.
        _add_sum(day, numbered, by_ratio, guard)
        if len(ratios) == 1:
            return
    else:
        _hold(day, by_ratio >= 0, guard)
    for ratio in ratios:
        here = [part.any_here for part in numbered if part.section.per_adult == ratio]
        trigger = day.any_of(here)
        if trigger is None:
            continue
        constraint = day.model.add(ratio * by_ratio - everyone >= 0)
        constraint.only_enforce_if([trigger] if guard is None else [trigger, guard])


def _add_sections(day: DayModel, numbered: list[_There], by_ratio: Linear, guard: Guard) -> None:
    asked: list[Linear] = []
    for part in numbered:
        ratio = part.section.per_adult
        most = -(-sum(day.most(cell) for cell in part.cells) // ratio)
        if most == 1:
            asked.append(part.any_here)
            continue
        adults = day.model.new_int_var(0, most, "")
        day.model.add(ratio * adults >= total(part.cells))
        asked.append(adults)
    _hold(day, by_ratio - total(asked) >= 0, guard)


def _hold(day: DayModel, relation: cp_model.BoundedLinearExpression | bool, guard: Guard) -> None:
    constraint = day.model.add(relation)
    if guard is not None:
        constraint.only_enforce_if(guard)
