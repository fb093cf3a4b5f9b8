"""What holds a possible day back: more people, tools or a round, and which rule it is.

Front door: `weigh_costs`. Each thing is brought in turn and the day searched
again for a moment; the gain is what was found, at most what the bound leaves.
A rule is only ever left out to see what it costs, never to be left out.
"""

from collections import Counter
from dataclasses import dataclass, replace

from scheduling.domain.condition import Condition, Reason, binding_conditions
from scheduling.domain.day_events import Rules
from scheduling.domain.newcomers import NewcomerKind, newcomer_kinds, with_newcomers
from scheduling.domain.people import TaskId
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, RosterResult, Value
from scheduling.domain.wording import list_words, unit_words

LEAST_SECONDS = 1.0  # a shorter search says too little
BASE_SHARE = 3  # how much longer the day as it is may be searched
# Which kind of newcomer gives what a rule asks for, by the rule's code.
ASKS_FOR = {
    "LED-1": "crew lead", "FA-1": "first aider", "SUP-1": "checked adult",
    "SUP-2": "checked adult", "SUP-3": "checked adult", "SUP-4": "checked adult",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Gain:
    """What one thing more would bring, found by a short search.

    `required` and `other` are the worth of work that must be done and of other
    work gained; `most` is what the bound leaves of both together, None when not
    known. `words` says what to bring, `work` names the units gained.
    """

    words: str
    required: int
    other: int
    most: int | None
    work: str
    seconds: float

    @property
    def sentence(self) -> str:
        """The gain as a sentence that says how it is known."""
        parts = []
        if self.required:
            parts.append(f"work that must be done worth {self.required} more")
        if self.other:
            parts.append(f"other work worth {self.other} more")
        gain = " and ".join(parts) or "nothing more was found"
        which = f" ({self.work})" if self.work else ""
        known = f"{self.seconds:.1f} s of search"
        if self.most is not None:
            known += f", at most {self.most} in all"
        return f"{self.words[0].upper()}{self.words[1:]}: {gain}{which}; {known}."


@dataclass(frozen=True, slots=True)
class RuleCost:
    """What a rule holds back, with what would meet it: rules are kept, not dropped."""

    rule: str
    gain: Gain
    remedy: str

    @property
    def sentence(self) -> str:
        """The cost as a sentence that ends with what meets the rule."""
        worth = self.gain.required + self.gain.other
        return (
            f"Rule {self.rule} holds back work worth {worth}, as far as "
            f"{self.gain.seconds:.1f} s of search show. It stays; {self.remedy}"
        )


@dataclass(frozen=True, slots=True)
class Costs:
    """Things to bring and rules that hold back, those with the largest gain first.

    `not_asked` counts what time did not allow to try, `rules_not_asked` the
    rules of it. Where all work there is gets done, nothing is tried.
    """

    gains: tuple[Gain, ...]
    rules: tuple[RuleCost, ...]
    not_asked: int
    rules_not_asked: int = 0


@dataclass(frozen=True, slots=True)
class _Trial:
    """One thing brought, or one rule taken away (then with its `reason`)."""

    words: str
    problem: RosterProblem
    conditions: tuple[Condition, ...]
    reason: Reason | None = None


@dataclass(frozen=True, slots=True)
class _Base:
    """The day as it is: what was found, and the time each comparison has."""

    value: Value
    roster: Roster
    limits: Limits
    problem: RosterProblem


def weigh_costs(
    problem: RosterProblem,
    rules: Rules,
    limits: Limits,
    *,
    known: tuple[Roster, Value] | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Costs | None:
    """Return what one more of each thing would bring, and what each rule holds back.

    Args:
        problem: A day that has a roster.
        rules: What every rule demands of a problem.
        limits: Wall seconds for everything, shared out evenly.
        known: A roster in hand and its worth, so that nothing it already does
            counts as a gain.
        on_progress: Called before each trial with what was tried and found so far.
        should_stop: Polled between and within searches.

    Returns:
        The gains, or None when no roster was found to compare with.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
    """
    check_problem(problem)
    check_limits(limits)
    clock = Clock(limits)
    conditions = rules(problem)
    trials = _trials(problem, rules, conditions)
    each = replace(limits, seconds=limits.seconds / (len(trials) + BASE_SHARE))
    each = replace(each, seconds=max(LEAST_SECONDS, each.seconds))
    longer = replace(each, seconds=BASE_SHARE * each.seconds)
    result = solve_roster(problem, conditions, longer, should_stop=should_stop)
    base = _best(problem, result, known, each)
    if base is None:
        return None
    if _is_all_done(problem, base.value):
        return Costs((), (), 0)
    gains: list[Gain] = []
    costs: list[RuleCost] = []
    not_asked: list[_Trial] = []
    for trial in trials:
        if clock.left < LEAST_SECONDS or (should_stop is not None and should_stop()):
            not_asked.append(trial)
            continue
        if on_progress is not None:
            on_progress(_tell(gains, costs, len(trials), clock))
        found = solve_roster(trial.problem, trial.conditions, each, should_stop=should_stop)
        gain = _gain(base, trial.words, trial.problem, found)
        if trial.reason is None:
            gains.append(gain)
        elif gain.required or gain.other:
            rule = trial.reason.rule
            costs.append(RuleCost(rule, gain, _remedy(rule, trial.reason)))
    gains.sort(key=lambda gain: (-gain.required, -gain.other, gain.words))
    costs.sort(key=lambda cost: (-cost.gain.required, -cost.gain.other, cost.rule))
    rules_not_asked = sum(trial.reason is not None for trial in not_asked)
    return Costs(tuple(gains), tuple(costs), len(not_asked), rules_not_asked)


def _tell(gains: list[Gain], costs: list[RuleCost], number: int, clock: Clock) -> Progress:
    """Return how many things were tried, and the best of them so far."""
    helpful = [gain for gain in gains if gain.required or gain.other]
    tried = len(gains) + len(costs)
    said = f"{len(helpful)} of {tried} tried bring more; {number} are to be tried"
    if helpful:
        best = max(helpful, key=lambda gain: (gain.required, gain.other))
        said += f"; the best so far: {best.words}"
    return Progress("days compared", tried, number, clock.seconds, said)


def _trials(
    problem: RosterProblem, rules: Rules, conditions: tuple[Condition, ...]
) -> list[_Trial]:
    """Return what is tried, tools last: there are many, and one seldom holds work back."""
    found = [
        _Trial(kind.say(1), *_with_rules(with_newcomers(problem, (kind,))[0], rules))
        for kind in newcomer_kinds(problem)
    ]
    longer = tuple(replace(p, present=(*p.present, p.present[-1])) for p in problem.people)
    words = f"one more round of {problem.round_minutes} minutes"
    more = replace(problem, rounds=problem.rounds + 1, people=longer)
    found.append(_Trial(words, *_with_rules(more, rules)))
    for rule, reason in _families(conditions):
        rest = tuple(c for c in conditions if c.reason.rule != rule)
        found.append(_Trial(f"without rule {rule}", problem, rest, reason))
    for tool in problem.tools:
        asked = sum(n.count for task in problem.tasks for n in task.tools if n.tool == tool.code)
        if asked <= tool.on_hand:
            continue  # enough for every task at once: one more cannot bring anything
        tools = tuple(
            replace(t, on_hand=t.on_hand + 1) if t.code == tool.code else t for t in problem.tools
        )
        found.append(
            _Trial(f"one more {tool.name}", *_with_rules(replace(problem, tools=tools), rules))
        )
    return found


def _with_rules(
    problem: RosterProblem, rules: Rules
) -> tuple[RosterProblem, tuple[Condition, ...]]:
    return problem, rules(problem)


def _is_all_done(problem: RosterProblem, value: Value) -> bool:
    """Say whether a roster does all work there is, so that nothing can bring more."""
    other = sum(t.value_per_unit * t.units for t in problem.tasks if not t.required)
    return value.required_left == 0 and value.other_done >= other


def _families(conditions: tuple[Condition, ...]) -> list[tuple[str, Reason]]:
    families: dict[str, Reason] = {}
    for condition in binding_conditions(conditions):
        families.setdefault(condition.reason.rule, condition.reason)
    return sorted(families.items())


def _remedy(rule: str, reason: Reason) -> str:
    if rule in ASKS_FOR:
        return f"{NewcomerKind(ASKS_FOR[rule]).say(1)} meets it better."
    if reason.remedy:
        return f"what meets it: {reason.remedy}"
    return "plan the work so that it is met."


def _best(
    problem: RosterProblem,
    result: RosterResult,
    known: tuple[Roster, Value] | None,
    each: Limits,
) -> _Base | None:
    found = [known] if known is not None else []
    if result.roster is not None and result.value is not None:
        found.append((result.roster, result.value))
    if not found:
        return None
    roster, value = min(found, key=lambda one: (one[1].required_left, -one[1].other_done))
    return _Base(value, roster, each, problem)


def _gain(base: _Base, words: str, problem: RosterProblem, found: RosterResult) -> Gain:
    """Compare, stage by stage: other work counts only where no required work is lost."""
    if found.value is None or found.roster is None:
        return Gain(words, 0, 0, None, "", base.limits.seconds)
    required = max(0, base.value.required_left - found.value.required_left)
    same = found.value.required_left <= base.value.required_left
    other = max(0, found.value.other_done - base.value.other_done) if same else 0
    most = None
    if found.bound is not None:
        most = max(0, base.value.required_left - found.bound.required_left)
        most += max(0, found.bound.other_done - base.value.other_done)
    work = _units_gained(problem, base.roster, found.roster) if required or other else ""
    return Gain(words, required, other, most, work, base.limits.seconds)


def _units_gained(problem: RosterProblem, before: Roster, after: Roster) -> str:
    done: Counter[TaskId] = Counter()
    for line in after.units:
        done[line.task] += line.units
    for line in before.units:
        done[line.task] -= line.units
    titles = {task.id: task for task in problem.tasks}
    more = sorted(
        ((n, titles[t]) for t, n in done.items() if n > 0 and t in titles),
        key=lambda each: (-each[0] * each[1].value_per_unit, each[1].id),
    )
    parts = [f"{unit_words(n, task.unit)} more of “{task.name}”" for n, task in more]
    return list_words(parts, most=3) if parts else ""
