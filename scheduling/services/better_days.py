"""What would make a session's day better: one more of what, and spare hands with their price."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scheduling.domain.judgement import judge_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.worth import value_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, Value
from scheduling.domain.rule import Severity
from scheduling.domain.rules import all_conditions
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.rosters import SPARE_HANDS, load_hopeful_problem
from scheduling.services.shown_rosters import Made, seal_roster

if TYPE_CHECKING:
    from scheduling.domain.planner.robust import Robust

COST_SECONDS = 20.0
SPARE_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class CostsSeen:
    """One more of each thing and what it brings; rules that hold back; what brought nothing.

    `not_asked` counts the things time did not allow to try, `rules_not_asked` the
    rules. `is_all_done` says that all work there is gets done with what there is.
    """

    gains: tuple[str, ...]
    rules: tuple[str, ...]
    without_gain: tuple[str, ...]
    not_asked: int = 0
    rules_not_asked: int = 0
    has_roster: bool = True
    is_all_done: bool = False


@dataclass(frozen=True, slots=True)
class SpareSeen:
    """A roster with spare hands: the price of each wish, and what stays undone.

    `sealed` is empty where there is nothing to keep; `conflicts` say why.
    """

    prices: tuple[str, ...]
    undone: str
    conflicts: tuple[str, ...]
    sealed: str


def weigh_session_costs(*, session_id: int, seconds: float | None = None) -> CostsSeen:
    """Return what one more of each thing would bring and which rules hold work back.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.costs import weigh_costs

    problem, _ = load_hopeful_problem(session_id)
    known = _in_hand(session_id, problem)
    limits = Limits(seconds=seconds or COST_SECONDS)
    costs = weigh_costs(problem, all_conditions, limits, known=known)
    if costs is None:
        return CostsSeen((), (), (), has_roster=False)
    return CostsSeen(
        gains=tuple(gain.sentence for gain in costs.gains if gain.required or gain.other),
        rules=tuple(cost.sentence for cost in costs.rules),
        without_gain=tuple(g.words for g in costs.gains if not g.required and not g.other),
        not_asked=costs.not_asked - costs.rules_not_asked,
        rules_not_asked=costs.rules_not_asked,
        is_all_done=not costs.gains and not costs.not_asked,
    )


def find_spare_hands(*, session_id: int, seconds: float | None = None) -> SpareSeen:
    """Return a roster with spare hands where they cost no work that must be done; keeps nothing.

    Raises:
        PlannerError: As `weigh_session_costs` does.
    """
    from scheduling.domain.planner.robust import build_wishes, solve_robust

    problem, conditions = load_hopeful_problem(session_id)
    before = find_current_id(session_id)
    wishes = build_wishes(problem)
    if not wishes:
        return SpareSeen((), "", (), "")
    limits = Limits(seconds=seconds or SPARE_SECONDS)
    robust = solve_robust(problem, conditions, limits, wishes)
    roster = robust.result.roster
    sealed = ""
    if roster is not None and any(price.is_kept for price in robust.prices):
        made = Made(SPARE_HANDS, robust.result.seconds, robust.result.seed)
        sealed = seal_roster(
            session_id=session_id, before=before, problem=problem, roster=roster, made=made
        )
    return SpareSeen(
        prices=tuple(price.sentence for price in robust.prices),
        undone=_say_undone(robust),
        conflicts=robust.result.conflicts,
        sealed=sealed,
    )


def _in_hand(session_id: int, problem: RosterProblem) -> tuple[Roster, Value] | None:
    """Return the newest roster with its worth, unless a rule refuses it: then it proves nothing."""
    newest = find_current_id(session_id)
    if newest is None:
        return None
    roster = load_roster(newest)
    if any(f.severity is Severity.BLOCKS for f in judge_roster(problem, roster)):
        return None
    return roster, value_of(problem, roster)


def _say_undone(robust: "Robust") -> str:
    value = robust.result.value
    if value is None:
        return "No roster was found in time. The last one stays."
    if not value.required_left:
        return "All the work that must be done is done."
    return f"Work that must be done worth {value.required_left} is left undone."
