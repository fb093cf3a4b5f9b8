"""The cheapest changes that would make a day possible, each tried by solving before it is said.

Front door: `find_changes`. Single changes first, cheapest first; pairs where no
single one does. A safety rule is never among them: what a rule asks for is
brought, not the rule dropped. Not for why the day is impossible (`explain`).
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations_with_replacement

from scheduling.domain.day_events import Rules
from scheduling.domain.newcomers import NewcomerKind, newcomer_kinds, say_newcomers, with_newcomers
from scheduling.domain.planner.goal import Answer, Goal, reach_goal, required_goal
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.problem import CrewTask, Fixed, RosterProblem
from scheduling.domain.wording import unit_words

TRIAL_SECONDS = 0.6
MOST_FOUND = 5
MOST_MOVES = 4  # other tasks tried for one fixed place
# What a change costs a coordinator, in no unit: our estimate, only for the order.
RELEASE, MOVE, TOOL, PERSON, SKILLED, ROUND, LESS, WITHDRAW = 1, 2, 3, 4, 6, 7, 8, 9


@dataclass(frozen=True, slots=True)
class Change:
    """One change of a day, in words that say what to do."""

    cost: int
    words: str
    release: Fixed | None = None
    instead: Fixed | None = None
    tool: str = ""
    newcomer: NewcomerKind | None = None
    a_round: bool = False
    task: int | None = None
    units: int = 0

    def apply(self, problem: RosterProblem) -> RosterProblem:
        """Return the problem with the change made."""
        if self.release is not None:
            locks = tuple(lock for lock in problem.locks if lock != self.release)
            more = () if self.instead is None else (self.instead,)
            return replace(problem, locks=(*locks, *more))
        if self.tool:
            tools = tuple(
                replace(t, on_hand=t.on_hand + 1) if t.code == self.tool else t
                for t in problem.tools
            )
            return replace(problem, tools=tools)
        if self.newcomer is not None:
            return with_newcomers(problem, (self.newcomer,))[0]
        if self.a_round:
            people = tuple(replace(p, present=(*p.present, p.present[-1])) for p in problem.people)
            return replace(problem, rounds=problem.rounds + 1, people=people)
        tasks = tuple(
            replace(t, units=self.units) if t.id == self.task else t for t in problem.tasks
        )
        return replace(problem, tasks=tasks)


@dataclass(frozen=True, slots=True)
class Changes:
    """What was found: each entry one change or a pair, cheapest first.

    `tried` counts what was solved; `is_whole` says that time sufficed for all.
    """

    found: tuple[tuple[Change, ...], ...]
    tried: int
    undecided: int
    is_whole: bool

    @property
    def sentences(self) -> tuple[str, ...]:
        """Each entry as a sentence."""
        return tuple(_say(each) for each in self.found)


def _say(changes: tuple[Change, ...]) -> str:
    said = [change.words for change in changes if change.newcomer is None]
    if new := tuple(change.newcomer for change in changes if change.newcomer is not None):
        said.append(f"find {say_newcomers(new)}")
    words = " and ".join(f"{words} twice" if said.count(words) > 1 else words
                         for words in dict.fromkeys(said))  # fmt: skip
    return f"{words[0].upper()}{words[1:]}."


def find_changes(
    problem: RosterProblem, rules: Rules, limits: Limits, *, goal: Goal | None = None
) -> Changes:
    """Return the cheapest changes that let a roster reach the goal, each verified by solving.

    Args:
        problem: A day that is impossible, or whose work cannot all be done.
        rules: What every rule demands of a problem.
        limits: Wall seconds for all trials.
        goal: The units wanted, by default all work that must be done; () asks
            only for any roster that holds the locks.

    Returns:
        At most five: single changes, or pairs where none suffices alone. Empty
        with `is_whole` when no single change and no pair looked at does.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    wanted = required_goal(problem) if goal is None else goal
    trial = _Trial(problem, rules, wanted, Clock(limits))
    offered = sorted(_offered(problem, wanted), key=lambda change: change.cost)
    singles = trial.find((change,) for change in offered)
    if singles or trial.is_out_of_time:
        return trial.result(singles)
    bearable = [change for change in offered if change.cost < WITHDRAW]
    pairs = [pair for pair in combinations_with_replacement(bearable, 2) if _go_together(*pair)]
    pairs.sort(key=lambda pair: pair[0].cost + pair[1].cost)
    return trial.result(trial.find(iter(pairs)))


def _go_together(one: Change, other: Change) -> bool:
    """Say whether two changes add up: the same lock or the same task is changed once."""
    if one.release is not None:
        return one.release != other.release
    return one.task is None or one.task != other.task


@dataclass(slots=True)
class _Trial:
    """The trials made so far."""

    problem: RosterProblem
    rules: Rules
    goal: Goal
    clock: Clock
    tried: int = 0
    undecided: int = 0
    is_out_of_time: bool = False

    def find(self, tries: Iterator[tuple[Change, ...]]) -> list[tuple[Change, ...]]:
        found: list[tuple[Change, ...]] = []
        for changes in tries:
            if self.clock.left <= 0:
                self.is_out_of_time = True
                break
            if any(_same_but_for_the_place(changes, before) for before in found):
                continue
            if self._works(changes):
                found.append(changes)
                if len(found) >= MOST_FOUND:
                    break
        return found

    def _works(self, changes: tuple[Change, ...]) -> bool:
        self.tried += 1
        now = self.problem
        for change in changes:
            now = change.apply(now)
        fewer = {change.task: change.units for change in changes if change.task is not None}
        goal = tuple((task, min(units, fewer.get(task, units))) for task, units in self.goal)
        seconds = min(TRIAL_SECONDS, self.clock.left)
        found = reach_goal(now, self.rules(now), goal, self.clock, seconds=seconds)
        self.undecided += found.answer is Answer.UNDECIDED
        return found.answer is Answer.YES

    def result(self, found: list[tuple[Change, ...]]) -> Changes:
        is_whole = not self.is_out_of_time and not self.undecided
        return Changes(tuple(found), self.tried, self.undecided, is_whole)


def _same_but_for_the_place(one: tuple[Change, ...], other: tuple[Change, ...]) -> bool:
    """Say whether two entries move the same people, only to other tasks."""
    return all(change.instead is not None or change in other for change in one) and (
        [change.release for change in one] == [change.release for change in other]
        and any(change.instead is not None for change in other)
    )


def _offered(problem: RosterProblem, goal: Goal) -> Iterator[Change]:
    people = {person.id: person.name for person in problem.people}
    tasks = {task.id: task for task in problem.tasks}
    for lock in sorted(problem.locks, key=lambda lock: (lock[1], lock[0])):
        who, round_, at = lock
        where = "free" if at is None else f"at “{tasks[at].name}”"
        fixed = f"{people[who]} in round {round_ + 1}"
        yield Change(RELEASE, f"release {people[who]}, fixed {where} in round {round_ + 1}", lock)
        others = [task for task in problem.tasks if at is not None and task.id != at]
        for task in others[:MOST_MOVES]:
            words = f"fix {fixed} at “{task.name}” instead of {where[3:]}"
            yield Change(MOVE, words, lock, (who, round_, task.id))
    if not goal:
        must = {task for _, _, task in problem.locks}
    else:
        must = {task for task, units in goal if units > 0}
    names = {tool.code: tool.name for tool in problem.tools}
    used = sorted({need.tool for t in problem.tasks if t.id in must for need in t.tools})
    for code in used:
        if code in names:
            yield Change(TOOL, f"borrow one more {names[code]}", tool=code)
    for kind in newcomer_kinds(problem):
        cost = SKILLED if kind.skills else PERSON
        yield Change(cost, f"find {kind.say(1)}", newcomer=kind)
    yield Change(ROUND, f"work one more round of {problem.round_minutes} minutes", a_round=True)
    for id_, units in goal:
        if units > 0:
            yield from _less_of(tasks[id_], units)


def _less_of(task: CrewTask, units: int) -> Iterator[Change]:
    """Yield half of a task's work, then none of it; what it opens or fills goes with it."""
    if units > 1:
        half = units // 2
        less, before = unit_words(half, task.unit), unit_words(units, task.unit)
        words = f"give this session {less} of “{task.name}” instead of {before}"
        yield Change(LESS, words, task=task.id, units=half)
    yield Change(WITHDRAW, f"take “{task.name}” out of this session", task=task.id, units=0)
