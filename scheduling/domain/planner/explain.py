"""Why a day is impossible, or its work cannot all be done, as a smallest set of reasons.

`explain_impossible` and `explain_undone` prove their answers by solving;
`explain_unfilled` looks at a finished roster. Not for judging rosters
(`scheduling.domain.verify`), and not for what to do about it (`changes`).
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import partial

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    Condition,
    Forbid,
    MinutesAtMost,
    OnlyWith,
    Per,
    Reason,
    Supervised,
    ToolsAtMost,
    binding_conditions,
)
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.day_model import build_day_model
from scheduling.domain.planner.goal import (
    Answer,
    Goal,
    own_tasks,
    reach_goal,
    required_goal,
)
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.locks import lock_conditions
from scheduling.domain.planner.search import Clock, run_search
from scheduling.domain.planner.smallest_set import find_smallest, shrink_one_by_one
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.translate import add_condition, add_conditions
from scheduling.domain.planner.unfilled import explain_unfilled
from scheduling.domain.planner.whole_day import is_out_of_reach
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import unit_words

__all__ = [
    "Clash",
    "explain_impossible",
    "explain_undone",
    "explain_unfilled",
    "find_clash",
    "find_conflict",
]

Conditions = tuple[Condition, ...]

WORK_RULE = "WORK"
QUESTION_SECONDS = 0.5  # for one question while a set is being made smaller
FIRST_SHARE = 0.5  # of the time, for finding any set at all


@dataclass(frozen=True, slots=True)
class Clash:
    """Conditions and wanted work that no roster has together.

    `is_smallest` says that each reason was left out once and then a roster was
    found. Conditions that give the same reason count as one.
    """

    conditions: Conditions
    goal: Goal
    is_smallest: bool

    @property
    def is_there(self) -> bool:
        """Whether anything was proven at all."""
        return bool(self.conditions or self.goal)


@dataclass(frozen=True, slots=True)
class _Reasons:
    """One reason: the conditions that give it, or the work it wants."""

    reason: Reason
    conditions: Conditions = ()
    goal: Goal = ()


def explain_impossible(
    problem: RosterProblem, conditions: Conditions, limits: Limits
) -> tuple[str, ...]:
    """Return sentences that together leave no roster, none of which can be spared.

    Args:
        problem: The day; its locks are taken into account.
        conditions: What every rule demands, without the locks.
        limits: Wall seconds for finding and shrinking the set.

    Returns:
        A sentence that says how many belong together, then each reason with its
        remedy. Empty when a roster exists or nothing could be proven in time.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    clash = find_clash(problem, conditions, (), limits)
    return _say(problem, clash, "leave no roster", "leaves no roster", "there is one")


def explain_undone(
    problem: RosterProblem, conditions: Conditions, limits: Limits, goal: Goal | None = None
) -> tuple[str, ...]:
    """Return why the work that must be done cannot all be done, as a smallest set of reasons.

    Args:
        problem: The day; its locks are taken into account.
        conditions: What every rule demands, without the locks.
        limits: Wall seconds for finding and shrinking the set.
        goal: The units wanted; by default all work that must be done.

    Returns:
        As `explain_impossible`, with the work among the reasons. Empty when it
        can all be done or nothing could be proven in time.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    wanted = required_goal(problem) if goal is None else goal
    clash = find_clash(problem, conditions, wanted, limits)
    return _say(
        problem,
        clash,
        "cannot all hold",
        "cannot hold",
        "the rest is possible",
    )


def find_conflict(problem: RosterProblem, conditions: Conditions, limits: Limits) -> Conditions:
    """Return conditions, locks among them, that no roster obeys together.

    Args:
        problem: The day; its locks are added.
        conditions: What every rule demands.
        limits: Wall seconds. Within them the set is shrunk until each reason
            in it, left out alone, would leave a roster.

    Returns:
        The set in a fixed order; empty when a roster exists or nothing was proven.
    """
    return find_clash(problem, conditions, (), limits).conditions


def find_clash(problem: RosterProblem, conditions: Conditions, goal: Goal, limits: Limits) -> Clash:
    """Return conditions and wanted work that no roster has together, as few as can be.

    Args:
        problem: The day; its locks are added.
        conditions: What every rule demands.
        goal: Units wanted, each task's as a reason of its own.
        limits: Wall seconds.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    asker = _Asker(replace(problem, locks=()), Clock(limits))
    binding = (*binding_conditions(conditions), *lock_conditions(problem))
    first = asker.first_clash(_gather(problem, binding, goal))
    if first is None:
        return Clash((), (), is_smallest=False)
    smallest, is_smallest = shrink_one_by_one(first, asker.clashes)
    return Clash(
        tuple(condition for each in smallest for condition in each.conditions),
        tuple(part for each in smallest for part in each.goal),
        is_smallest,
    )


def _gather(problem: RosterProblem, binding: Conditions, goal: Goal) -> tuple[_Reasons, ...]:
    """Return the reasons in the order in which they are kept: work and locks first."""
    by_text: dict[tuple[str, str], list[Condition]] = {}
    for condition in reversed(binding):  # locks stand last
        reason = condition.reason
        by_text.setdefault((reason.rule, reason.text), []).append(condition)
    wanted = tuple(
        _Reasons(_reason_of(problem, part), goal=(part,)) for part in goal if part[1] > 0
    )
    return (*wanted, *(_Reasons(some[0].reason, tuple(some)) for some in by_text.values()))


def _reason_of(problem: RosterProblem, part: tuple[int, int]) -> Reason:
    task = next(task for task in problem.tasks if task.id == part[0])
    amount = unit_words(part[1], task.unit)
    return Reason(
        WORK_RULE,
        f"{amount} of “{task.name}” must be done.",
        "the season plan",
        "Give the session less of it.",
    )


@dataclass(slots=True)
class _Asker:
    """Asks whether reasons clash; the problem's locks are among the reasons."""

    problem: RosterProblem
    clock: Clock

    def first_clash(self, reasons: tuple[_Reasons, ...]) -> tuple[_Reasons, ...] | None:
        """Return reasons that clash, not yet as few as can be; None when that is not proven."""
        if any(each.goal for each in reasons) and self._by_counting(reasons):
            return find_smallest(reasons, self._by_counting)
        for round_ in _rounds_fixed(reasons):
            in_round = partial(self._in_one_round, round_=round_)
            if in_round(reasons):
                return find_smallest(reasons, in_round)
        all_clash = self.clashes(reasons)
        if all_clash is False:
            return None
        found = self._by_assumptions(reasons)
        if found is not None and self.clashes(found):
            return found
        return reasons if all_clash or found is not None else None

    def clashes(self, reasons: tuple[_Reasons, ...]) -> bool | None:
        """Say whether no roster has all of these; None when time ran out."""
        if self.clock.left <= 0:
            return None
        seconds = min(QUESTION_SECONDS, self.clock.left)
        goal = _goal(reasons)
        found = reach_goal(self.problem, _conditions(reasons), goal, self.clock, seconds=seconds)
        return None if found.answer is Answer.UNDECIDED else found.answer is Answer.NO

    def _by_counting(self, reasons: tuple[_Reasons, ...]) -> bool | None:
        """Say whether adding up the day already rules these out."""
        if self.clock.left <= 0:
            return None
        binding, goal = _conditions(reasons), _goal(reasons)
        return is_out_of_reach(
            self.problem,
            binding,
            goal,
            own_tasks(binding, goal),
            forbidden_cells(self.problem, binding),
            self.clock,
            seconds=min(QUESTION_SECONDS, self.clock.left),
        )

    def _in_one_round(self, reasons: tuple[_Reasons, ...], round_: int) -> bool | None:
        """Say whether these clash within one round, whatever happens in the others.

        Of any roster its one round obeys what is asked of crews, zones and that
        round, and what may not be exceeded; only that is kept.
        """
        if self.clock.left <= 0:
            return None
        people = tuple(
            replace(p, present=tuple(here and r == round_ for r, here in enumerate(p.present)))
            for p in self.problem.people
        )
        one_round = replace(self.problem, people=people)
        binding = tuple(c for c in _conditions(reasons) if _holds_in_part(c, round_))
        day = build_day_model(one_round, binding, forbidden=forbidden_cells(one_round, binding))
        add_conditions(day, binding)
        seconds = min(QUESTION_SECONDS, self.clock.left)
        found = run_search(day.model, self.clock, stage="round", seconds=seconds, presolve=False)
        return found.is_impossible

    def _by_assumptions(self, reasons: tuple[_Reasons, ...]) -> tuple[_Reasons, ...] | None:
        """Return the reasons the solver names for finding nothing.

        They may come back incomplete: believed only when tried.
        """
        day = build_day_model(self.problem, _conditions(reasons))
        guards: dict[int, _Reasons] = {}
        for each in reasons:
            guard = day.model.new_bool_var("")
            guards[guard.index] = each
            for condition in each.conditions:
                add_condition(day, condition, guard)
            for task, units in each.goal:
                day.model.add(day.done(task) >= units).only_enforce_if(guard)
        day.model.add_assumptions([day.model.get_bool_var_from_proto_index(i) for i in guards])
        seconds = self.clock.left * FIRST_SHARE
        found = run_search(day.model, self.clock, stage="reasons", seconds=seconds)
        if not found.is_impossible:
            return None
        named = set(found.solver.sufficient_assumptions_for_infeasibility())
        return tuple(each for index, each in guards.items() if index in named)


def _rounds_fixed(reasons: tuple[_Reasons, ...]) -> list[int]:
    """Return the rounds in which somebody is fixed."""
    fixed = {
        round_
        for each in reasons
        for condition in each.conditions
        if isinstance(condition, AtLeast) and condition.always
        for round_ in condition.rounds or ()
    }
    return sorted(fixed)


def _holds_in_part(condition: Condition, round_: int) -> bool:
    """Say whether a condition that a whole day obeys is obeyed by one round of it alone."""
    match condition:
        case AtLeast(always=True):
            return condition.rounds == (round_,)
        case AtMost() | Forbid() | MinutesAtMost() | ToolsAtMost():
            return True
        case AtLeast() | Balance() | OnlyWith() | Supervised() | Apart():
            return condition.per in (Per.CREW, Per.ZONE, Per.ROUND)
        case _:
            return False


def _conditions(reasons: Iterable[_Reasons]) -> Conditions:
    return tuple(condition for each in reasons for condition in each.conditions)


def _goal(reasons: Iterable[_Reasons]) -> Goal:
    return tuple(part for each in reasons for part in each.goal)


def _say(
    problem: RosterProblem, clash: Clash, together: str, alone: str, without: str
) -> tuple[str, ...]:
    if not clash.is_there:
        return ()
    reasons = [_reason_of(problem, part) for part in clash.goal]
    reasons += [condition.reason for condition in clash.conditions]
    texts: dict[str, str] = {}
    for reason in reasons:
        texts.setdefault(reason.text, f"{reason.text} {reason.remedy}".strip())
    number = len(texts)
    if number == 1:
        head = f"This alone {alone}."
    elif clash.is_smallest:
        head = f"These {number} together {together}; without any one of them {without}."
    else:
        head = f"These {number} together {together}; time ran out before fewer were found."
    return (head, *texts.values())
