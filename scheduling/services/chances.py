"""How likely a session works once it is known who came, and what would raise it. Keeps nothing."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import Roster
from scheduling.domain.rules import all_conditions
from scheduling.queries.attendance import load_session_belief
from scheduling.queries.rosters import find_current_roster_value
from scheduling.services.rosters import load_hopeful_problem

if TYPE_CHECKING:
    from scheduling.domain.planner.chance import Chance
    from scheduling.domain.planner.changes import Changes
    from scheduling.domain.planner.more_signups import MoreSignups

CHANCE_SECONDS = 10.0
SIGNUP_SECONDS = 10.0
REASON_SECONDS = 3.0
DRAWS = 200


@dataclass(frozen=True, slots=True)
class SignupLine:
    """Sign-ups that lift the chance, in words; `target` is a percentage or None."""

    target: int | None
    words: str
    percent: float
    low_percent: float
    high_percent: float


@dataclass(frozen=True, slots=True)
class SessionChance:
    """The chance as a page shows it, all shares in percent.

    `reasons` and `changes` are told where the work that must be done cannot be
    done even with everybody there. `asks_less` says that the day is held
    against what its roster does, which is less than the season gave it.
    """

    draws: int
    works: int
    fails: int
    undecided: int
    stands: int
    percent: float | None
    low_percent: float
    high_percent: float
    stands_percent: float
    obstacles: tuple[tuple[str, int], ...]
    signups: tuple[SignupLine, ...]
    reasons: tuple[str, ...]
    changes: tuple[str, ...]
    changes_are_whole: bool
    asks_less: bool
    has_roster: bool
    seconds: float
    seed: int


def estimate_session_chance(
    *,
    session_id: int,
    draws: int = DRAWS,
    seed: int = 1,
    seconds: float = CHANCE_SECONDS,
) -> SessionChance:
    """Return how likely the session works, with the interval, and which sign-ups would raise it.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.chance import estimate_chance
    from scheduling.domain.planner.changes import find_changes
    from scheduling.domain.planner.explain import explain_undone
    from scheduling.domain.planner.goal import required_goal
    from scheduling.domain.planner.more_signups import find_signups

    problem, conditions = load_hopeful_problem(session_id)
    roster = find_current_roster_value(session_id)
    limits = Limits(seconds=seconds, seed=seed)
    belief = load_session_belief(session_id)
    chance = estimate_chance(problem, all_conditions, roster, limits, draws=draws, belief=belief)
    asks_less = dict(chance.goal) != dict(required_goal(problem))
    lines = find_signups(
        problem,
        all_conditions,
        chance.goal,
        Limits(seconds=SIGNUP_SECONDS * seconds / CHANCE_SECONDS, seed=seed),
        draws=draws,
        belief=belief,
        roster=roster,
    )
    short = Limits(seconds=REASON_SECONDS * seconds / CHANCE_SECONDS, seed=seed)
    reasons = explain_undone(problem, conditions, short)
    changes = find_changes(problem, all_conditions, short) if reasons else None
    return _tell(chance, lines[1:], reasons, changes, asks_less=asks_less, in_hand=roster)


def _tell(
    chance: "Chance",
    lines: "tuple[MoreSignups, ...]",
    reasons: tuple[str, ...],
    changes: "Changes | None",
    *,
    asks_less: bool,
    in_hand: Roster | None,
) -> SessionChance:
    return SessionChance(
        draws=chance.draws,
        works=chance.works,
        fails=chance.fails,
        undecided=chance.undecided,
        stands=chance.stands,
        percent=None if chance.share is None else 100 * chance.share,
        low_percent=100 * chance.low,
        high_percent=100 * chance.high,
        stands_percent=100 * chance.stands / chance.draws,
        obstacles=chance.obstacles,
        signups=tuple(
            SignupLine(
                None if line.target is None else round(100 * line.target),
                line.words,
                100 * line.share,
                100 * line.low,
                100 * line.high,
            )
            for line in lines
        ),
        reasons=reasons,
        changes=changes.sentences if changes else (),
        changes_are_whole=changes is None or changes.is_whole,
        asks_less=asks_less,
        has_roster=in_hand is not None,
        seconds=chance.seconds,
        seed=chance.seed,
    )
