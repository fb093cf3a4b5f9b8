"""How likely a session works once it is known who came, and what would raise it.

Front door: `search_chance`. It is asked for by `day_questions`, and keeps nothing itself.
"""

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scheduling.domain.attendance import Belief
from scheduling.domain.condition import Condition
from scheduling.domain.day_answers import SessionChance, SignupLine
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.rules import all_conditions
from scheduling.queries.attendance import load_session_belief
from scheduling.queries.day_answers import mark_basis
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.answered import Answered, Watch
from scheduling.services.rosters import load_hopeful_problem

if TYPE_CHECKING:
    from scheduling.domain.planner.chance import Chance
    from scheduling.domain.planner.changes import Changes
    from scheduling.domain.planner.more_signups import MoreSignups
    from scheduling.domain.planner.search import Clock

DRAWS = 200
CHANCE_SHARE = 0.6  # of the time, for the days; a quick day leaves the rest to the sign-ups
REASON_SHARE = 0.15  # for saying why not even everybody could do the work
LEAST_SECONDS = 0.5


def search_chance(
    *,
    session_id: int,
    limits: Limits,
    watch: Watch | None = None,
    draws: int = DRAWS,
) -> Answered:
    """Return how likely the session works, with the interval, and which sign-ups would raise it.

    A stop ends the part under way and leaves the later ones out; what was found is told.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.chance import estimate_chance
    from scheduling.domain.planner.search import Clock

    watch = watch or Watch()
    clock = Clock(limits)
    day = _load_day(session_id)
    chance = estimate_chance(
        day.problem,
        all_conditions,
        day.roster,
        replace(limits, seconds=CHANCE_SHARE * limits.seconds),
        draws=draws,
        belief=day.belief,
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )
    lines = _try_signups(day, chance, limits, clock, watch)
    reasons, changes = _ask_why(day, limits, clock, watch)
    told = _tell(day, chance, lines, reasons, changes)
    basis = mark_basis(day.problem, day.roster_id, day.belief)
    return Answered(told, basis, round(clock.seconds, 3))


@dataclass(frozen=True, slots=True)
class _Day:
    """A session's day with what its chance depends on."""

    problem: RosterProblem
    conditions: tuple[Condition, ...]
    roster_id: int | None
    roster: Roster | None
    belief: Belief


def _load_day(session_id: int) -> _Day:
    problem, conditions = load_hopeful_problem(session_id)
    newest = find_current_id(session_id)
    roster = None if newest is None else load_roster(newest)
    return _Day(problem, conditions, newest, roster, load_session_belief(session_id))


def _try_signups(
    day: _Day, chance: "Chance", limits: Limits, clock: "Clock", watch: Watch
) -> "tuple[MoreSignups, ...]":
    """Return sign-ups that raise the chance; nothing where no time is left for any."""
    from scheduling.domain.planner.more_signups import find_signups

    seconds = clock.left - REASON_SHARE * limits.seconds
    if not chance.draws or seconds <= 0 or watch.is_stopped:
        return ()
    return find_signups(
        day.problem,
        all_conditions,
        chance.goal,
        replace(limits, seconds=seconds),
        draws=chance.draws,
        belief=day.belief,
        roster=day.roster,
        known=chance,
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )


def _ask_why(
    day: _Day, limits: Limits, clock: "Clock", watch: Watch
) -> "tuple[tuple[str, ...], Changes | None]":
    """Return why not even everybody could do all of the work, and what would mend it."""
    from scheduling.domain.planner.chance import does_the_work
    from scheduling.domain.planner.changes import find_changes
    from scheduling.domain.planner.explain import explain_undone
    from scheduling.domain.planner.goal import required_goal

    goal = required_goal(day.problem)
    if day.roster is not None and does_the_work(day.problem, day.conditions, day.roster, goal):
        return (), None
    if watch.is_stopped or clock.left <= 0:
        return (), None
    if watch.on_progress is not None:
        watch.on_progress(Progress("reasons", None, None, clock.seconds, "looking for reasons"))
    short = replace(limits, seconds=max(clock.left, LEAST_SECONDS) / 2)
    reasons = explain_undone(day.problem, day.conditions, short)
    if not reasons or watch.is_stopped:
        return reasons, None
    return reasons, find_changes(day.problem, all_conditions, short)


def _tell(
    day: _Day,
    chance: "Chance",
    lines: "tuple[MoreSignups, ...]",
    reasons: tuple[str, ...],
    changes: "Changes | None",
) -> SessionChance:
    from scheduling.domain.planner.goal import required_goal

    return SessionChance(
        draws=chance.draws,
        wished=chance.wished,
        works=chance.works,
        fails=chance.fails,
        undecided=chance.undecided,
        stands=chance.stands,
        percent=None if chance.share is None else 100 * chance.share,
        low_percent=100 * chance.low,
        high_percent=100 * chance.high,
        stands_percent=100 * chance.stands / chance.draws if chance.draws else 0.0,
        obstacles=chance.obstacles,
        signups=tuple(_line(line) for line in lines[1:]),
        signups_asked=bool(lines),
        reasons=reasons,
        changes=changes.sentences if changes else (),
        changes_are_whole=changes is None or changes.is_whole,
        asks_less=dict(chance.goal) != dict(required_goal(day.problem)),
        has_roster=day.roster is not None,
        seconds=chance.seconds,
        seed=chance.seed,
    )


def _line(line: "MoreSignups") -> SignupLine:
    return SignupLine(
        target=None if line.target is None else round(100 * line.target),
        words=line.words,
        percent=100 * line.share,
        low_percent=100 * line.low,
        high_percent=100 * line.high,
    )
