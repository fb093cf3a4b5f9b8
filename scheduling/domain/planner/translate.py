"""Each kind of condition as constraints on a day's model.

The meaning of a kind is stated in `scheduling.domain.condition` and judged by
`scheduling.domain.verify`; this module must agree with both. Every function
takes a guard: a variable that switches the constraint on, for explanations.

In a model of kinds (`DayModel.sizes`) a condition that counts a crew, zone,
round or session is the same; one that judges a person alone is summed over the
kind's people, which lets through all that it should and a little more.
"""

from collections.abc import Iterable, Iterator
from math import gcd

from ortools.sat.python import cp_model

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    Counted,
    Forbid,
    InOrder,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Supervised,
    ToolsAtMost,
    binding_conditions,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.linear import Linear, total, weighed
from scheduling.domain.planner.supervised import add_supervised

Guard = cp_model.IntVar | None


def add_conditions(day: DayModel, conditions: Iterable[Condition]) -> None:
    """Add every condition that binds, unguarded."""
    for condition in binding_conditions(conditions):
        add_condition(day, condition)


def add_condition(day: DayModel, condition: Condition, guard: Guard = None) -> None:
    """Add one condition.

    Args:
        day: The model it is added to.
        condition: Any kind; a notice adds nothing.
        guard: Where given, the condition holds only when this variable is 1.
    """
    match condition:
        case Forbid():
            _add_forbid(day, condition, guard)
        case AtLeast():
            _add_at_least(day, condition, guard)
        case AtMost():
            _add_at_most(day, condition, guard)
        case Balance():
            _add_balance(day, condition, guard)
        case Supervised():
            groups = _groups(day, condition.per, None, condition.tasks, condition.rounds)
            exact = (group for group in groups if _stands_for(day, group, condition.per) == 1)
            add_supervised(day, condition, exact, guard)
        case OnlyWith():
            _add_only_with(day, condition, guard)
        case Apart():
            _add_apart(day, condition, guard)
        case MinutesAtMost():
            _add_minutes(day, condition, guard)
        case ToolsAtMost():
            _add_tools(day, condition, guard)
        case CloseOut():
            _add_close_out(day, condition, guard)
        case InOrder():
            _add_in_order(day, condition, guard)
        case Notice():
            return


def _hold(day: DayModel, relation: cp_model.BoundedLinearExpression | bool, guard: Guard) -> None:
    """Add a relation; one without variables arrives as a plain truth value."""
    constraint = day.model.add(relation)
    if guard is not None:
        constraint.only_enforce_if(guard)


def _groups(
    day: DayModel,
    per: Per,
    people: tuple[PersonId, ...] | None,
    tasks: tuple[TaskId, ...] | None,
    rounds: tuple[int, ...] | None,
) -> Iterator[list[Cell]]:
    """Yield the cells of each group, filled or not, for everyone who could be in it.

    People narrow the groups only where a group is one person. Of a part of a day only
    groups are yielded that something free is in: the others are as they were.
    """
    for group in _all_groups(day, per, people, tasks, rounds):
        if day.free is None or any(cell in day.free for cell in group):
            yield group


def _all_groups(
    day: DayModel,
    per: Per,
    people: tuple[PersonId, ...] | None,
    tasks: tuple[TaskId, ...] | None,
    rounds: tuple[int, ...] | None,
) -> Iterator[list[Cell]]:
    chosen = [task for task in day.tasks if tasks is None or task.id in tasks]
    when = [r for r in day.rounds if rounds is None or r in rounds]

    def cells(what: list[TaskId], during: list[int]) -> list[Cell]:
        return [cell for r in during for t in what for cell in day.cells_at.get((t, r), ())]

    all_tasks = [task.id for task in chosen]
    match per:
        case Per.CREW:
            for task in all_tasks:
                for round_ in when:
                    yield day.cells_at.get((task, round_), [])
        case Per.ZONE:
            for zone in sorted({task.zone for task in chosen}):
                in_zone = [task.id for task in chosen if task.zone == zone]
                for round_ in when:
                    yield cells(in_zone, [round_])
        case Per.ROUND:
            for round_ in when:
                yield cells(all_tasks, [round_])
        case Per.PERSON:
            named = None if people is None else set(people)
            of_these, then = set(all_tasks), set(when)
            for person in day.people:
                if named is None or person.id in named:
                    mine = day.cells_of[person.id]
                    yield [cell for cell in mine if cell[1] in of_these and cell[2] in then]
        case Per.SESSION:
            yield cells(all_tasks, when)


def _stands_for(day: DayModel, group: list[Cell], per: Per) -> int:
    """Return of how many people, each judged alone, a group holds the sum; 1 for other groups."""
    return day.size(group[0][0]) if per is Per.PERSON and group else 1


def _counted(day: DayModel, group: list[Cell], counts: tuple[Counted, ...]) -> Linear:
    weight: dict[PersonId, int] = {}
    for person, count in counts:
        weight[person] = weight.get(person, 0) + count
    return weighed((day.works[cell], by) for cell in group if (by := weight.get(cell[0])))


def _among(
    day: DayModel, group: list[Cell], people: tuple[PersonId, ...] | None
) -> list[cp_model.IntVar]:
    named = None if people is None else set(people)
    return [day.works[cell] for cell in group if named is None or cell[0] in named]


def _occupied(day: DayModel, group: list[Cell], per: Per) -> cp_model.IntVar | None:
    if per is Per.PERSON:
        return day.any_of([day.works[cell] for cell in group])
    crews = sorted({(task, round_) for _, task, round_ in group})
    return day.any_of([day.active[crew] for crew in crews])


def _add_forbid(day: DayModel, condition: Forbid, guard: Guard) -> None:
    for group in _groups(day, Per.PERSON, condition.people, condition.tasks, condition.rounds):
        for cell in group:
            _hold(day, day.works[cell] == 0, guard)


def _add_at_least(day: DayModel, condition: AtLeast, guard: Guard) -> None:
    # Judged in every group that is worked in; only one that always holds is
    # narrowed to the people it names.
    people = condition.people if condition.always else None
    for group in _groups(day, condition.per, people, condition.tasks, condition.rounds):
        counted = total(_among(day, group, condition.people))
        if condition.always:
            _hold(day, counted >= condition.least * _stands_for(day, group, condition.per), guard)
            continue
        if condition.per is Per.PERSON and _stands_for(day, group, condition.per) > 1:
            continue
        occupied = _occupied(day, group, condition.per)
        if occupied is not None:
            _hold(day, counted >= condition.least * occupied, guard)


def _add_at_most(day: DayModel, condition: AtMost, guard: Guard) -> None:
    for group in _groups(day, condition.per, condition.people, condition.tasks, condition.rounds):
        counted = _among(day, group, condition.people)
        if condition.most < 0:
            for cell in group:
                _hold(day, day.works[cell] == 0, guard)
            continue
        room = condition.most * _stands_for(day, group, condition.per)
        if sum(day.most(cell) for cell in counted) <= room:
            continue
        most: Linear = room
        if condition.per is Per.CREW:
            most = room * day.active[group[0][1], group[0][2]]
        _hold(day, total(counted) <= most, guard)


def _add_balance(day: DayModel, condition: Balance, guard: Guard) -> None:
    for group in _groups(day, condition.per, None, None, None):
        supply = _counted(day, group, condition.supply)
        demand = _counted(day, group, condition.demand)
        _hold(day, supply - demand >= 0, guard)


def _add_only_with(day: DayModel, condition: OnlyWith, guard: Guard) -> None:
    for group in _groups(day, condition.per, None, None, None):
        any_here = day.any_of(_among(day, group, condition.people))
        if any_here is not None and _stands_for(day, group, condition.per) == 1:
            counting = [cell for cell in group if cell[1] not in condition.not_at]
            partners = _counted(day, counting, condition.partners)
            _hold(day, partners >= condition.least * any_here, guard)


def _add_apart(day: DayModel, condition: Apart, guard: Guard) -> None:
    for group in _groups(day, condition.per, None, None, None):
        crews = sorted({(t, r) for _, t, r in group if t in condition.tasks})
        at_work = day.any_of([day.active[crew] for crew in crews])
        if at_work is None or _stands_for(day, group, condition.per) > 1:
            continue
        for near in _among(day, group, condition.people):
            _hold(day, near + day.most(near) * at_work <= day.most(near), guard)


def _add_minutes(day: DayModel, condition: MinutesAtMost, guard: Guard) -> None:
    minutes = {task: each for task, each in condition.minutes if each}
    step = gcd(*minutes.values()) or 1
    for group in _groups(day, Per.PERSON, condition.people, tuple(sorted(minutes)), None):
        spent = total(minutes[task] // step * day.works[p, task, r] for p, task, r in group)
        # Rounded down for each person: a kind of ten has ten times three rounds, not 33.
        most = condition.most // step * _stands_for(day, group, Per.PERSON)
        _hold(day, spent <= most, guard)


def _add_tools(day: DayModel, condition: ToolsAtMost, guard: Guard) -> None:
    for round_ in day.rounds:
        used = total(
            count * day.active[task, round_]
            for task, count in sorted(condition.uses)
            if (task, round_) in day.active
        )
        _hold(day, used <= condition.on_hand, guard)


def _add_close_out(day: DayModel, condition: CloseOut, guard: Guard) -> None:
    for round_ in day.rounds:
        opened = day.done(condition.opens, round_ - 1)
        _hold(day, day.done(condition.closes, round_) <= opened, guard)
    _hold(day, day.done(condition.closes) == day.done(condition.opens), guard)


def _add_in_order(day: DayModel, condition: InOrder, guard: Guard) -> None:
    for round_ in day.rounds:
        crew = day.active.get((condition.then, round_))
        if crew is not None:
            done = day.done(condition.first, round_ - 1)
            _hold(day, done >= condition.units * crew, guard)
