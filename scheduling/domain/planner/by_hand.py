"""A day's roster as a careful person makes it by hand, in a fraction of a second.

Round by round, in the order of `by_hand_work`, a crew only where it can be led, skilled
and watched; from scratch in several ways. Then some rounds of the best are taken back and
made again in another order, and kept where that is better: ruin and recreate (Schrimpf and
others, "Record breaking optimization results using the ruin and recreate principle",
2000). What it makes is what the engine starts from and must never be worse than. It
proves nothing, and finding nothing says nothing of the day.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import inf
from time import monotonic

from ortools.sat.python import cp_model

from scheduling.domain.condition import AtMost, CloseOut, Condition, InOrder, Per
from scheduling.domain.people import PersonId
from scheduling.domain.planner.allowed import Cell
from scheduling.domain.planner.by_hand_crews import CrewMaker
from scheduling.domain.planner.by_hand_work import Hand, make_round, read_hand
from scheduling.domain.planner.day_model import DayModel
from scheduling.domain.planner.draws import draw_numbers
from scheduling.domain.planner.progress import ShouldStop
from scheduling.domain.planner.tally import Tally
from scheduling.domain.planner.worth import rank
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, Value
from scheduling.domain.verify import find_violations

MOST_TRIES = 400  # rosters made again in part, after the first
MOST_ROUNDS, MOST_ZONES = 3, 2  # taken back at once
MANY_TASKS = 50  # so many that whole rounds take too long to be made again
ALL_ZONES = 0.4  # how often every zone of the rounds is taken back
NOISE = 0.5  # how far the worth of a task may be misjudged when it is tried anew
PATIENCE = (0.5, 0.6, 0.7, 0.8, inf)  # one of them whenever something is tried anew
YOUNG_LAST = 0.5  # how often those who need others near them are asked last
OnBetter = Callable[[tuple[Roster, Value]], None]


@dataclass(frozen=True, slots=True)
class Start:
    """One way of making a day from scratch.

    `turns` is in how many shifts people rest in the middle of the day, 0 for when they must;
    the others are the hand's own.
    """

    turns: int
    young_last: bool = False
    patience: float = inf
    required_alone: bool = True


# Each was the best of all on some made day; those that mostly are good come first.
STARTS = (
    Start(0),
    Start(2, patience=0.7, required_alone=False),
    Start(2, patience=0.6),
    Start(2, True, 0.6),
    Start(3, True),
    Start(0, patience=0.7, required_alone=False),
    Start(2, patience=0.5, required_alone=False),
    Start(2, patience=0.8),
    Start(0, patience=0.6),
    Start(2, patience=0.6, required_alone=False),
    Start(3, patience=0.7, required_alone=False),
    Start(2),
)
FIRST_STARTS = 5  # so many without a roster, and none is made


def make_roster_by_hand(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    forbidden: frozenset[Cell],
    *,
    seconds: float = 0.0,
    seed: int = 1,
    on_better: OnBetter | None = None,
    should_stop: ShouldStop | None = None,
) -> tuple[Roster, Value] | None:
    """Return a roster that breaks nothing, made without a search, and what it is worth.

    Args:
        problem: The day.
        conditions: Those that bind, locks included.
        forbidden: The cells that some of them forbid outright.
        seconds: Wall seconds for making parts of it again; at most `MOST_TRIES` are made.
        seed: Of the order in which parts are tried again.
        on_better: Told the first roster, and each better one made from scratch.
        should_stop: Polled between two tries.

    Returns:
        None where it finds none, which proves nothing.
    """
    ends = monotonic() + seconds
    best: tuple[Roster, Value] | None = None
    for number, start in enumerate(STARTS):
        if number == FIRST_STARTS and best is None:
            return None
        hand = _begin(problem, conditions, forbidden, start)
        if not _seat_locked(hand):
            continue
        for round_ in range(problem.rounds):
            make_round(hand, round_)
        made = _finish(hand)
        if made is not None and (best is None or rank(made[1]) > rank(best[1])):
            best, best_hand = made, hand
            if on_better is not None:
                on_better(made)
        is_over = monotonic() > ends or (should_stop is not None and should_stop())
        if best is not None and is_over:
            return best
    if best is None:
        return None
    return _make_again(best_hand, best, ends, draw_numbers(seed), should_stop)


def _begin(
    problem: RosterProblem,
    conditions: tuple[Condition, ...],
    forbidden: frozenset[Cell],
    start: Start,
) -> Hand:
    tasks = tuple(sorted(problem.tasks, key=lambda task: task.id))
    people = tuple(sorted(problem.people, key=lambda person: person.id))
    model = DayModel(problem, cp_model.CpModel(), people, tasks, tuple(range(problem.rounds)))
    tally = Tally(problem, conditions, forbidden)
    hand = Hand(problem, conditions, CrewMaker(problem, tally), model)
    hand.patience, hand.required_alone = start.patience, start.required_alone
    hand.crews.young_last = start.young_last
    for one in conditions:
        if isinstance(one, CloseOut) and {one.opens, one.closes} <= set(tally.tasks):
            hand.closers_of[one.opens].append(one.closes)
            hand.openers_of[one.closes].append(one.opens)
        elif isinstance(one, InOrder) and {one.first, one.then} <= set(tally.tasks):
            hand.orders_of[one.then].append(one)
            hand.waiting_for[one.first].append(one.then)
    model.openers_of = {task: tuple(sorted(o)) for task, o in hand.openers_of.items()}
    _take_turns(hand, start.turns)
    return hand


def _take_turns(hand: Hand, turns: int) -> None:
    """Give everybody a rest in the middle of the day, the scarce in turn with the scarce."""
    if not turns:
        return
    rounds = hand.problem.rounds
    longest: dict[PersonId | None, int] = {}
    for one in hand.conditions:
        if isinstance(one, AtMost) and one.per is Per.PERSON and one.tasks is None and one.rounds:
            for person in (None,) if one.people is None else one.people:
                longest[person] = min(longest.get(person, rounds), one.most)
    for number, person in enumerate(hand.crews.in_turn()):
        most = min(longest.get(person, rounds), longest.get(None, rounds))
        fitting = [*range(max(0, rounds - 1 - most), min(most, rounds - 1) + 1)][:turns]
        if most < rounds and fitting:
            hand.crews.rests.add((person, fitting[number % len(fitting)]))


def _seat_locked(hand: Hand) -> bool:
    """Put everybody where they are fixed, with whom they need; False where that fails."""
    tally = hand.crews.tally
    locked = sorted(
        (round_, task, person) for person, round_, task in hand.problem.locks if task is not None
    )
    for round_, task, person in locked:
        hand.crews.rests.discard((person, round_))
        if tally.doing.get((person, round_)) == task:
            continue
        if not tally.may_add((person, task, round_)):
            return False
        hand.crews.add((person, task, round_))
    for round_, task, _ in locked:
        needs = tally.needs_of_crew(task, round_)
        for cell in tally.crew(task, round_):
            needs += tally.needs_of(cell)
        free = hand.crews.by_fitness(task, round_)
        if hand.crews.mend(needs, task, round_, free) is None:
            return False
    return True


def _finish(hand: Hand) -> tuple[Roster, Value] | None:
    """Return the roster once everything that breaks something is taken out of it."""
    fixed = {(person, round_) for person, round_, task in hand.problem.locks if task is not None}
    while True:
        made = read_hand(hand)
        findings = find_violations(hand.problem, hand.conditions, made[0])
        if not findings:
            return made
        at_fault: set[Cell] = set()
        for finding in findings:
            for (person, round_), task in hand.crews.tally.doing.items():
                if finding.round in (None, round_) and finding.task in (None, task):
                    here = finding.task is not None or person in finding.people
                    if here or not finding.people:
                        at_fault.update(hand.crews.tally.crew(task, round_))
        at_fault = {cell for cell in at_fault if (cell[0], cell[2]) not in fixed}
        if not at_fault:
            return None
        for cell in sorted(at_fault):
            hand.crews.remove(cell)


def _make_again(
    hand: Hand,
    best: tuple[Roster, Value],
    ends: float,
    chances: Iterator[float],
    should_stop: ShouldStop | None,
) -> tuple[Roster, Value]:
    """Take some zones of some rounds back, make them in another order, keep what is better."""
    safe, worth = _cells(hand), best[1]
    for _ in range(MOST_TRIES):
        if monotonic() > ends or (should_stop is not None and should_stop()):
            break
        before = _cells(hand)
        freed = _take_back(hand, chances)
        hand.misjudged = {
            task: 1 + NOISE * (2 * next(chances) - 1) for task in sorted(hand.crews.tally.tasks)
        }
        hand.crews.young_last = next(chances) < YOUNG_LAST
        hand.patience = PATIENCE[int(next(chances) * len(PATIENCE))]
        hand.crews.rests.clear()
        for round_ in freed:
            make_round(hand, round_)
        made = read_hand(hand)
        if rank(made[1]) < rank(worth):
            _put_back(hand, before)
        elif rank(made[1]) > rank(best[1]):
            if find_violations(hand.problem, hand.conditions, made[0]):
                _put_back(hand, safe)
                worth = best[1]
            else:
                best, safe, worth = made, _cells(hand), made[1]
    return best


def _take_back(hand: Hand, chances: Iterator[float]) -> list[int]:
    """Empty some zones in some rounds but for locked places; return the rounds."""
    fixed = {(person, round_) for person, round_, task in hand.problem.locks if task is not None}
    tasks, rounds = hand.crews.tally.tasks, range(hand.problem.rounds)
    zones = sorted({task.zone for task in tasks.values()})
    count = 1 + int(next(chances) * MOST_ROUNDS)
    freed = sorted(sorted(rounds, key=lambda _: next(chances))[:count])
    if next(chances) > ALL_ZONES or len(tasks) > MANY_TASKS:
        zones = sorted(zones, key=lambda _: next(chances))[: 1 + int(next(chances) * MOST_ZONES)]
    for cell in sorted(_cells(hand)):
        taken = cell[2] in freed and tasks[cell[1]].zone in zones
        if taken and (cell[0], cell[2]) not in fixed:
            hand.crews.remove(cell)
    return freed


def _cells(hand: Hand) -> set[Cell]:
    return {(person, task, r) for (person, r), task in hand.crews.tally.doing.items()}


def _put_back(hand: Hand, cells: set[Cell]) -> None:
    now = _cells(hand)
    for cell in sorted(now - cells):
        hand.crews.remove(cell)
    for cell in sorted(cells - now):
        hand.crews.add(cell)
