"""What would make a session's day better: one more of what, and spare hands with their price.

Front doors: `search_costs` and `search_spare`. They are asked for by `day_questions`, and
keep nothing themselves.
"""

from typing import TYPE_CHECKING, Any

from scheduling.domain.day_answers import CostsSeen, SpareSeen
from scheduling.domain.judgement import judge_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.worth import value_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster, Value
from scheduling.domain.rule import Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.spare_hands import build_wishes, read_spare
from scheduling.queries.day_answers import mark_basis
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.answered import Answered, Watch
from scheduling.services.rosters import SPARE_HANDS, load_hopeful_problem
from scheduling.services.shown_rosters import Made, seal_roster

if TYPE_CHECKING:
    from scheduling.domain.planner.costs import Costs
    from scheduling.domain.planner.robust import Robust


def search_costs(
    *,
    session_id: int,
    limits: Limits,
    watch: Watch | None = None,
) -> Answered:
    """Return what one more of each thing would bring and which rules hold work back.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.costs import weigh_costs
    from scheduling.domain.planner.search import Clock

    watch, clock = watch or Watch(), Clock(limits)
    problem, _ = load_hopeful_problem(session_id)
    newest = find_current_id(session_id)
    costs = weigh_costs(
        problem,
        all_conditions,
        limits,
        known=_in_hand(newest, problem),
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )
    return Answered(_tell(costs), mark_basis(problem, newest), round(clock.seconds, 3))


def _tell(costs: "Costs | None") -> CostsSeen:
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


def search_spare(
    *,
    session_id: int,
    limits: Limits,
    asked: dict[str, Any] | None = None,
    watch: Watch | None = None,
) -> Answered:
    """Return a roster with spare hands where they cost no work that must be done; keeps nothing.

    Raises:
        PlannerError: As `search_costs` does.
    """
    from scheduling.domain.planner.robust import solve_robust
    from scheduling.domain.planner.search import Clock

    watch, clock = watch or Watch(), Clock(limits)
    problem, conditions = load_hopeful_problem(session_id)
    before = find_current_id(session_id)
    basis = mark_basis(problem, before)
    wishes = build_wishes(problem, read_spare(asked or {}))
    if not wishes:
        return Answered(SpareSeen((), "", (), ""), basis, 0.0)
    robust = solve_robust(
        problem, conditions, limits, wishes,
        on_progress=watch.on_progress, should_stop=watch.should_stop,
    )  # fmt: skip
    roster = robust.result.roster
    sealed = ""
    if roster is not None and any(price.is_kept for price in robust.prices):
        made = Made(SPARE_HANDS, robust.result.seconds, robust.result.seed)
        sealed = seal_roster(
            session_id=session_id, before=before, problem=problem, roster=roster, made=made
        )
    told = SpareSeen(
        prices=tuple(price.sentence for price in robust.prices),
        undone=_say_undone(robust),
        conflicts=robust.result.conflicts,
        sealed=sealed,
    )
    return Answered(told, basis, round(clock.seconds, 3))


def _in_hand(newest: int | None, problem: RosterProblem) -> tuple[Roster, Value] | None:
    """Return the newest roster with its worth, unless a rule refuses it: then it proves nothing."""
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
