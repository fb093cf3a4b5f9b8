"""What would make more work fit a season: a handful of changes, each tried by solving.

Front door: `try_season_changes`. One more session, three more people signed off
in the skill that is short, one more lead, earlier or larger deliveries, one more of a
tool: each is solved anew from the plan at hand, and only what truly gains is
told, the most first. Not for changing anything, and not for why work is left out
(`left_out`).
"""

from collections import Counter
from dataclasses import dataclass, replace

from scheduling.domain.people import ItemId
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.season_pulse import Pulse
from scheduling.domain.planner.season_search import search_season
from scheduling.domain.planner.season_start import as_units
from scheduling.domain.planner.season_terms import build_terms, value_of_season
from scheduling.domain.planner.season_trials import Trial, list_trials
from scheduling.domain.planner.simple import Chosen
from scheduling.domain.planner.soundness import check_limits, check_season
from scheduling.domain.season import PlannedUnits, SeasonProblem

AS_IT_IS, TRIALS = "season as it is", "season changes"  # stages
MOST_CHANGES = 12
TRIAL_SECONDS = 1.0  # a longer search tries more changes, none of them for less than this


@dataclass(frozen=True, slots=True)
class SeasonChange:
    """One change that was tried and gains: in sentences, and by how much.

    `value_gain` is the objective's; `work_gain_min` the person-minutes of work
    planned more; `units_gain` the units planned more, by item.
    """

    words: str
    value_gain: int
    work_gain_min: int
    units_gain: tuple[tuple[ItemId, int], ...]

    @property
    def work_gain_h(self) -> float:
        """Person-hours of work planned more."""
        return self.work_gain_min / 60


@dataclass(frozen=True, slots=True)
class SeasonChanges:
    """What gains, the most first; how many changes were tried, and how many there was no time for.

    A trial that a stop cut short before it gained counts as not tried, and so does one
    that would have had less than half its time.
    """

    gains: tuple[SeasonChange, ...]
    tried: int
    not_tried: int


def try_season_changes(
    problem: SeasonProblem,
    plan: tuple[PlannedUnits, ...],
    limits: Limits,
    *,
    keep: tuple[PlannedUnits, ...] = (),
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> SeasonChanges:
    """Return the changes under which a better plan was found than the one at hand.

    Args:
        problem: The season as it is.
        plan: Its plan; every trial begins from it.
        limits: Wall seconds for all trials together, seed, threads.
        keep: What was promised: it stays in every trial.
        on_progress: Called before each trial with what was tried and gains so far.
        should_stop: Polled in this thread; the changes found so far are returned.

    Returns:
        Only real gains: the plan at hand is first searched further for a trial's
        length without any change, and a change counts for what it gains beyond.
        Most value first. A change not listed may still help: trials are short.

    Raises:
        RosterError: If the problem or the limits contradict themselves.

    Assumes:
        More people bring the minutes of an adult who comes, in every session
        from the first on. A new session is like the one before it.
    """
    check_season(problem)
    check_limits(limits)
    clock = Clock(limits)
    pulse = Pulse(clock, should_stop)
    known = list(list_trials(problem, plan))
    trials = known[: max(MOST_CHANGES, int(limits.seconds / TRIAL_SECONDS))]
    if not trials:
        return SeasonChanges((), 0, 0)
    share = limits.seconds / (len(trials) + 2)
    tell = on_progress or (lambda _heard: None)
    tell(Progress(AS_IT_IS, None, None, clock.seconds, "what it gains counts for no change"))
    # As it is, with as much more search as any trial gets.
    base = _solve(problem, plan, keep, limits, 2 * share, pulse)
    found: list[SeasonChange] = []
    tried = 0
    while base is not None and tried < len(trials):
        tell(_tell(found, tried, len(trials), clock))
        seconds = min(share, pulse.ask())
        if seconds < share / 2:
            break
        better = _solve(trials[tried].problem, base, keep, limits, seconds, pulse)
        change = None if better is None else _compare(trials[tried], base, better)
        if change is not None:
            found.append(change)
        elif clock.is_stopped:
            break
        tried += 1
    gains = tuple(sorted(found, key=lambda change: (-change.value_gain, change.words)))
    return SeasonChanges(gains, tried, len(known) - tried)


def _tell(found: list[SeasonChange], tried: int, number: int, clock: Clock) -> Progress:
    """Return how many changes were tried, and the best of them so far."""
    said = f"{len(found)} of {tried} tried gain; {number} are to be tried"
    if found:
        best = max(found, key=lambda change: change.value_gain)
        said += f"; the best so far: {best.words.removesuffix('.')}"
    return Progress(TRIALS, tried, number, clock.seconds, said)


def _solve(
    problem: SeasonProblem,
    plan: tuple[PlannedUnits, ...],
    keep: tuple[PlannedUnits, ...],
    limits: Limits,
    seconds: float,
    pulse: Pulse,
) -> tuple[PlannedUnits, ...] | None:
    """Return the best plan found in a trial's time, from the plan at hand; None without any."""
    terms = build_terms(problem)
    index = {session.id: number for number, session in enumerate(problem.sessions)}

    def as_chosen(parts: tuple[PlannedUnits, ...]) -> Chosen:
        chosen: Chosen = {}
        for part in parts:
            key = (terms.block_of[part.item], index[part.session])
            chosen[key] = max(chosen.get(key, 0), part.units)
        return chosen

    search = search_season(
        terms,
        Clock(replace(limits, seconds=max(seconds, 0.01))),
        as_chosen(keep),
        None,
        lambda: pulse.left() <= 0,
        start=as_chosen(plan),
    )
    return None if search.chosen is None else as_units(terms, search.chosen)


def _compare(
    trial: Trial,
    before: tuple[PlannedUnits, ...],
    after: tuple[PlannedUnits, ...],
) -> SeasonChange | None:
    # The plan at hand counts as what it is worth in the changed season, so that only
    # what the change lets be done better is a gain.
    gain = value_of_season(trial.problem, after) - value_of_season(trial.problem, before)
    units = Counter[ItemId]()
    for part in after:
        units[part.item] += part.units
    for part in before:
        units[part.item] -= part.units
    per_unit = {
        item.id: sum(demand.minutes_per_unit for demand in item.demands)
        for item in trial.problem.items
    }
    minutes = sum(per_unit[item] * count for item, count in units.items())
    if gain <= 0 or minutes <= 0:
        return None
    changed = tuple(sorted((item, count) for item, count in units.items() if count))
    return SeasonChange(trial.words, gain, minutes, changed)
