"""What a day made by hand still needs: which task comes first, how much of it there is use for.

Work that must be done comes first, what closes holes before what opens more, then what
is worth most for the points it takes. But a task that needs most of the rounds left, with
what follows it, does not wait: least slack first, a dispatching rule of job shops (Conway,
Maxwell and Miller, "Theory of Scheduling", 1967). Not for who does it: `by_hand_crews`.
"""

from collections import Counter, defaultdict
from dataclasses import dataclass, field
from math import inf

from scheduling.domain.condition import Condition, InOrder
from scheduling.domain.people import TaskId
from scheduling.domain.planner.by_hand_crews import CrewMaker
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.reading import place_units
from scheduling.domain.planner.worth import value_of
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.roster import Assignment, Roster, Value


@dataclass(slots=True)
class Hand:
    """A day being made by hand.

    `patience` is the part of the rounds left that a task may need before it is urgent;
    `required_alone` says that no other work, however urgent, comes before required work.
    """

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    crews: CrewMaker
    units_model: DayModel
    closers_of: dict[TaskId, list[TaskId]] = field(default_factory=lambda: defaultdict(list))
    openers_of: dict[TaskId, list[TaskId]] = field(default_factory=lambda: defaultdict(list))
    orders_of: dict[TaskId, list[InOrder]] = field(default_factory=lambda: defaultdict(list))
    waiting_for: dict[TaskId, list[TaskId]] = field(default_factory=lambda: defaultdict(list))
    misjudged: dict[TaskId, float] = field(default_factory=dict)
    patience: float = inf
    required_alone: bool = True


def make_round(hand: Hand, round_: int) -> None:
    """Make the crews of a round, or let those that stand grow."""
    for task in _order(hand, round_):
        hand.crews.make(task.id, round_, _wanted(hand, task, round_))


def _order(hand: Hand, round_: int) -> list[CrewTask]:
    """Return the tasks there is use for, what matters most first."""
    tasks = hand.crews.tally.tasks

    def key(task: CrewTask) -> tuple[bool, bool, bool, bool, float, int]:
        after = [tasks[t] for t in (*hand.closers_of[task.id], *hand.waiting_for[task.id])]
        value = sum(one.value_per_unit for one in (task, *after))
        points = sum(one.points_per_unit for one in (task, *after))
        other = not any(one.required and one.value_per_unit > 0 for one in (task, *after))
        misjudged = hand.misjudged.get(task.id, 1.0)
        waits = hand.patience == inf or (
            _rounds_needed(hand, task, after) * misjudged
            < hand.patience * (hand.problem.rounds - round_)
        )
        first, second = (other, waits) if hand.required_alone else (waits, other)
        worth = value / max(1, points) * misjudged
        return (other or waits, first, second, not hand.openers_of[task.id], -worth, task.id)

    return sorted((t for t in tasks.values() if _wanted(hand, t, round_) > 0), key=key)


def _rounds_needed(hand: Hand, task: CrewTask, after: list[CrewTask]) -> int:
    """Return in how many rounds a task and what follows it need a full crew at least."""
    if after:
        return 1 + max(_crews_needed(hand, one) for one in (task, *after))
    return _crews_needed(hand, task)


def _crews_needed(hand: Hand, task: CrewTask) -> int:
    left = task.units * task.points_per_unit - hand.crews.put_in_by(task.id, hand.problem.rounds)
    full = task.crew_most * max(hand.crews.points.values(), default=0)
    return -(-max(0, left) // max(1, full))


def _wanted(hand: Hand, task: CrewTask, round_: int) -> int:
    """Return the points there is use for at a task in a round, what is put in left out."""
    rounds = range(hand.problem.rounds)
    spent = hand.crews.put_in_by(task.id, hand.problem.rounds)
    if hand.closers_of[task.id] and round_ == rounds[-1]:
        return 0
    if any(done_before(hand, one.first, round_) < one.units for one in hand.orders_of[task.id]):
        return 0
    units = task.units
    for opener in hand.openers_of[task.id]:
        units = min(units, done_before(hand, opener, round_))
    return units * task.points_per_unit - spent


def done_before(hand: Hand, task: TaskId, round_: int) -> int:
    """Return the units of a task that are done when a round begins, by the points put in."""
    one = hand.crews.tally.tasks[task]
    if one.points_per_unit <= 0:
        return one.units
    return min(one.units, hand.crews.put_in_by(task, round_) // one.points_per_unit)


def read_hand(hand: Hand) -> tuple[Roster, Value]:
    """Return the crews as a roster, with units placed and close-outs kept in step."""
    doing = hand.crews.tally.doing
    assignments = tuple(Assignment(p, r, task) for (p, r), task in sorted(doing.items()))
    totals: dict[TaskId, int] = {}
    for task in hand.units_model.tasks:
        totals[task.id] = max(0, done_before(hand, task.id, hand.problem.rounds))
    while True:
        placed: Counter[TaskId] = Counter()
        units = place_units(hand.units_model, assignments, totals)
        for part in units:
            placed[part.task] += part.units
        before = dict(totals)
        for closer, openers in sorted(hand.openers_of.items()):
            even = min(placed[one] for one in (closer, *openers))
            for one in (closer, *openers):
                totals[one] = min(totals[one], even)
        if totals == before:
            roster = Roster(assignments, units)
            return roster, value_of(hand.problem, roster)
