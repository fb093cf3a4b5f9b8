"""Each kind of condition as it shows when rounds are folded together.

Every row here follows from what the condition demands of single rounds, summed
over a span; what would not follow is left out. So the folded day lets through
every roster, and more. `scheduling.domain.condition` states the meaning.
"""

from collections import defaultdict
from functools import lru_cache
from itertools import combinations
from math import gcd, lcm

from ortools.sat.python import cp_model

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    MinutesAtMost,
    OnlyWith,
    Per,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.folded_day import FoldedDay
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.rule_set import NO_NUMBER

MOST_ROUNDS_TRIED = 12  # all sets of rounds are tried for a person: 4096 at most
BY_ROUND = (Per.CREW, Per.ZONE, Per.ROUND)
Window = tuple[frozenset[TaskId], int, int]  # tasks, rounds as bits, most of them


def add_folded_conditions(folded: FoldedDay, conditions: tuple[Condition, ...]) -> None:
    """Add what follows from the conditions, those that bind (`binding_conditions`)."""
    for condition in conditions:
        match condition:
            case AtLeast():
                _add_at_least(folded, condition)
            case AtMost():
                _add_at_most(folded, condition)
            case Balance():
                _add_balance(folded, condition)
            case Supervised():
                _add_supervised(folded, condition)
            case OnlyWith():
                _add_only_with(folded, condition)
            case Apart():
                _add_apart(folded, condition)
            case MinutesAtMost():
                _add_minutes(folded, condition)
            case ToolsAtMost():
                _add_tools(folded, condition)
            case CloseOut():
                _add_close_out(folded, condition)
    _add_most_by_round(folded, conditions)
    _add_rounds_of_people(folded, conditions)


def _hold(folded: FoldedDay, relation: cp_model.BoundedLinearExpression | bool) -> None:
    folded.model.add(relation)


def _spans_inside(folded: FoldedDay, rounds: tuple[int, ...] | None) -> list[int]:
    """Return the spans all of whose rounds a condition names."""
    return [
        number
        for number, span in enumerate(folded.spans)
        if rounds is None or set(span) <= set(rounds)
    ]


def _task_ids(folded: FoldedDay, tasks: tuple[TaskId, ...] | None) -> list[TaskId]:
    return [task.id for task in folded.tasks if tasks is None or task.id in tasks]


def _kinds(folded: FoldedDay, people: tuple[PersonId, ...] | None) -> list[PersonId]:
    named = None if people is None else frozenset(people)
    return [person.id for person in folded.people if named is None or person.id in named]


def _add_at_least(folded: FoldedDay, condition: AtLeast) -> None:
    every_span = range(len(folded.spans))
    tasks = _task_ids(folded, condition.tasks)
    if condition.per is Per.PERSON and condition.always:
        for person in _kinds(folded, condition.people):
            worked = folded.sum_of((person,), tasks, every_span)
            _hold(folded, worked >= condition.least * folded.sizes[person])
    elif condition.per is Per.SESSION and condition.always:
        counted = folded.sum_of(condition.people, tasks, every_span)
        _hold(folded, counted >= condition.least)
    for group in folded.groups(condition.per, condition.tasks):
        for span in _spans_inside(folded, condition.rounds):
            counted = folded.sum_of(condition.people, group, (span,))
            if condition.always:
                _hold(folded, counted >= condition.least * len(folded.spans[span]))
            else:
                _hold(folded, counted >= condition.least * folded.rounds_worked(group, span))


def _add_at_most(folded: FoldedDay, condition: AtMost) -> None:
    spans = _spans_inside(folded, condition.rounds)
    most = max(0, condition.most)
    if condition.per is Per.SESSION:
        tasks = _task_ids(folded, condition.tasks)
        _hold(folded, folded.sum_of(condition.people, tasks, spans) <= most)
    for group in folded.groups(condition.per, condition.tasks):
        for span in spans:
            counted = folded.sum_of(condition.people, group, (span,))
            worked = folded.rounds_worked(group, span)
            _hold(folded, counted <= most * worked)


def _add_most_by_round(folded: FoldedDay, conditions: tuple[Condition, ...]) -> None:
    """Add limits stated for each round by itself, where together they fill a span.

    Whom they name may differ by round, as with those who are there then.
    """
    stated: dict[tuple[Per, tuple[TaskId, ...]], dict[int, AtMost]] = defaultdict(dict)
    for one in conditions:
        if (
            isinstance(one, AtMost)
            and one.per in BY_ROUND
            and one.rounds is not None
            and len(one.rounds) == 1
            and one.people is not None
        ):
            key = (one.per, tuple(_task_ids(folded, one.tasks)))
            stated[key].setdefault(one.rounds[0], one)
    present = {person.id: person.present for person in folded.problem.people}
    for (per, tasks), by_round in sorted(stated.items(), key=lambda item: (item[0][0], item[0][1])):
        for number, span in enumerate(folded.spans):
            if len(span) == 1 or not set(span) <= set(by_round):
                continue
            here = [by_round[r] for r in span]
            named = frozenset().union(*(one.people or () for one in here))
            if any(
                present[person][r] and person not in (one.people or ())
                for r, one in zip(span, here, strict=True)
                for person in named
                if person in present
            ):
                continue
            for group in folded.groups(per, tasks):
                counted = folded.sum_of(named, group, (number,))
                _hold(folded, counted <= sum(max(0, one.most) for one in here))


def _add_balance(folded: FoldedDay, condition: Balance) -> None:
    weights: dict[PersonId, int] = defaultdict(int)
    for person, count in condition.supply:
        weights[person] += count
    for person, count in condition.demand:
        weights[person] -= count
    everything = [task.id for task in folded.tasks]
    every_span = range(len(folded.spans))
    if condition.per is Per.SESSION:
        _hold(folded, folded.weighed(weights, everything, every_span) >= 0)
    elif condition.per is Per.PERSON:
        for one in folded.people:
            if weights[one.id] < 0:
                _hold(folded, folded.sum_of((one.id,), everything, every_span) == 0)
    for group in folded.groups(condition.per, None):
        for span in every_span:
            _hold(folded, folded.weighed(weights, group, (span,)) >= 0)


def _add_only_with(folded: FoldedDay, condition: OnlyWith) -> None:
    weights: dict[PersonId, int] = defaultdict(int)
    for person, count in condition.partners:
        weights[person] += count
    for group in folded.groups(condition.per, None):
        counting = [task for task in group if task not in condition.not_at]
        for span in range(len(folded.spans)):
            people = _who_may(folded, condition.people, group, span)
            if people:
                there = folded.rounds_with(people, group, span)
                partners = folded.weighed(weights, counting, (span,))
                _hold(folded, partners >= condition.least * there)


def _who_may(
    folded: FoldedDay, people: tuple[PersonId, ...], group: tuple[TaskId, ...], span: int
) -> list[PersonId]:
    return [
        person
        for person in _kinds(folded, people)
        if any((person, task, span) in folded.works for task in group)
    ]


def _add_apart(folded: FoldedDay, condition: Apart) -> None:
    for group in folded.groups(condition.per, None):
        at_work = [task for task in group if task in condition.tasks]
        for number, span in enumerate(folded.spans):
            people = _who_may(folded, condition.people, group, number)
            if at_work and people:
                near = folded.rounds_with(people, group, number)
                _hold(folded, near + folded.rounds_worked(at_work, number) <= len(span))


def _add_minutes(folded: FoldedDay, condition: MinutesAtMost) -> None:
    known = {task.id for task in folded.tasks}
    minutes = {task: each for task, each in condition.minutes if each > 0 and task in known}
    if not minutes:
        return
    step = gcd(*minutes.values())
    every_span = range(len(folded.spans))
    for person in _kinds(folded, condition.people):
        size = folded.sizes[person]
        spent = total(
            each // step * folded.sum_of((person,), (task,), every_span)
            for task, each in sorted(minutes.items())
        )
        _hold(folded, spent <= condition.most // step * size)
        rounds = folded.sum_of((person,), sorted(minutes), every_span)
        _hold(folded, rounds <= condition.most // min(minutes.values()) * size)


def _add_tools(folded: FoldedDay, condition: ToolsAtMost) -> None:
    uses = dict(condition.uses)
    for number, span in enumerate(folded.spans):
        used = total(
            uses[task.id] * folded.crews[task.id, number]
            for task in folded.tasks
            if uses.get(task.id)
        )
        _hold(folded, used <= condition.on_hand * len(span))


def _add_close_out(folded: FoldedDay, condition: CloseOut) -> None:
    if condition.opens in folded.units and condition.closes in folded.units:
        _hold(folded, folded.units[condition.closes] == folded.units[condition.opens])


def _add_supervised(folded: FoldedDay, condition: Supervised) -> None:
    for group in folded.groups(condition.per, condition.tasks):
        for span in _spans_inside(folded, condition.rounds):
            _add_supervised_group(folded, condition, group, span)


def _add_supervised_group(
    folded: FoldedDay, condition: Supervised, group: tuple[TaskId, ...], span: int
) -> None:
    parts = [
        (section, people, folded.rounds_with(people, group, span))
        for section in condition.sections
        if (people := _who_may(folded, section.people, group, span))
    ]
    if not parts:
        return
    everyone = sorted({person for _, people, _ in parts for person in people})
    anyone = folded.rounds_with(everyone, group, span)
    counting = [task for task in group if task not in condition.not_at]
    adults = folded.sum_of(condition.adults, counting, (span,))
    _hold(folded, adults >= condition.least * anyone)
    added: Linear = condition.plus * anyone
    for section, _, there in parts:
        _hold(folded, adults >= section.least * there)
        added = added + section.plus * there
    by_ratio = adults - added
    numbered = [part for part in parts if part[0].per_adult != NO_NUMBER]
    if not numbered:
        _hold(folded, by_ratio >= 0)
        return
    # Each way of combining ages asks for at least the sum of the shares.
    whole = lcm(*(section.per_adult for section, _, _ in numbered))
    shares = total(
        whole // section.per_adult * folded.sum_of(people, group, (span,))
        for section, people, _ in numbered
    )
    _hold(folded, whole * by_ratio - shares >= 0)


def _add_rounds_of_people(folded: FoldedDay, conditions: tuple[Condition, ...]) -> None:
    """Add the most rounds one person can work, in all and at the tasks limits name.

    Found for one person by trying every set of rounds, so that rests between
    rounds count in full though the rounds are folded.
    """
    everything = frozenset(task.id for task in folded.tasks)
    windows: dict[PersonId, list[Window]] = {person.id: [] for person in folded.people}
    for one in conditions:
        if isinstance(one, AtMost) and one.per is Per.PERSON:
            tasks = frozenset(_task_ids(folded, one.tasks))
            rounds = range(folded.problem.rounds) if one.rounds is None else one.rounds
            bits = sum(1 << r for r in set(rounds))
            for kind in _kinds(folded, one.people):
                windows[kind].append((tasks, bits, max(0, one.most)))
    numbers = range(len(folded.spans))
    for person in folded.people:
        mine = windows[person.id]
        for tasks in sorted({everything, *(window[0] for window in mine)}, key=sorted):
            limits = frozenset((bits, most) for named, bits, most in mine if named >= tasks)
            for count in range(1, len(folded.spans) + 1):
                for chosen in combinations(numbers, count):
                    here = [r for s in chosen for r in folded.spans[s] if person.present[r]]
                    there = sum(1 << r for r in here)
                    most = _most_rounds(there, limits)
                    worked = folded.sum_of((person.id,), sorted(tasks), chosen)
                    _hold(folded, worked <= most * folded.sizes[person.id])


@lru_cache(maxsize=4096)
def _most_rounds(there: int, limits: frozenset[tuple[int, int]]) -> int:
    """Return the most rounds of those given as bits that keep every limit."""
    if there.bit_length() > MOST_ROUNDS_TRIED or not limits:
        return there.bit_count()
    best, chosen = 0, there
    while True:
        if chosen.bit_count() > best and all(
            (chosen & bits).bit_count() <= most for bits, most in limits
        ):
            best = chosen.bit_count()
        if chosen == 0:
            return best
        chosen = (chosen - 1) & there
