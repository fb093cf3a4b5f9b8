"""Which work in which session: the front door of a season's plan.

`solve_season` starts from a plan made simply, searches, checks the answer
without the solver and says what was left out and why. Not for building the
problem (`scheduling.domain.capacity`) and not for keeping plans.
"""

from dataclasses import dataclass

from ortools.sat.python import cp_model

from scheduling.domain.people import ItemId
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.left_out import explain_left_out
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.linear import Linear, total
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_terms import Block, SeasonTerms, build_terms, value_of_season
from scheduling.domain.planner.simple import Chosen, plan_simply
from scheduling.domain.planner.soundness import check_limits, check_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import PlannedUnits, SeasonProblem, SeasonResult


@dataclass(slots=True)
class SeasonModel:
    """A season's variables: units and whether used, by block and session; finished by its end."""

    terms: SeasonTerms
    model: cp_model.CpModel
    units: dict[tuple[ItemId, int], cp_model.IntVar]
    used: dict[tuple[ItemId, int], cp_model.IntVar]
    finished: dict[tuple[ItemId, int], cp_model.IntVar]

    def done(self, block: Block, until: int) -> Linear:
        """Return the units of a block done by the end of a session."""
        return total(self.units[block.id, s] for s in block.sessions if s <= until)


def solve_season(
    problem: SeasonProblem,
    limits: Limits,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
    keep: tuple[PlannedUnits, ...] = (),
) -> SeasonResult:
    """Return the best season plan found within the limits, and how good it is known to be.

    Args:
        problem: The season.
        limits: Wall seconds, seed, threads.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread; when true the best so far is returned
            within a second.
        keep: What was promised: at least these units stay in these sessions.

    Returns:
        BEST when proven, GOOD when cut short (then `bound` says how much better
        a plan could be at most), IMPOSSIBLE when what was promised cannot be
        kept, UNDECIDED when no plan was found in time.

    Raises:
        RosterError: If the problem or the limits contradict themselves.
        EngineFault: If the check refuses the answer or counts another value; a bug.
    """
    check_season(problem)
    check_limits(limits)
    clock = Clock(limits)
    terms = build_terms(problem)
    season = build_season_model(terms)
    _keep(season, keep)
    if not keep:
        _hint(season, plan_simply(terms))
    found = run_search(
        season.model,
        clock,
        stage="season",
        seconds=clock.left,
        on_progress=on_progress,
        should_stop=should_stop,
    )
    planned = _read(season, found) if found.has_answer else ()
    value = value_of_season(problem, planned) if found.has_answer else None
    _check(problem, planned, value, found)
    return SeasonResult(
        status=_status(found),
        planned=planned,
        value=value,
        bound=found.bound if found.has_answer else None,
        seconds=round(clock.seconds, 3),
        seed=limits.seed,
        left_out=explain_left_out(terms, planned) if found.has_answer else (),
    )


def _status(found: Found) -> SolveStatus:
    if found.is_impossible:
        return SolveStatus.IMPOSSIBLE
    if not found.has_answer:
        return SolveStatus.UNDECIDED
    return SolveStatus.BEST if found.proven else SolveStatus.GOOD


def build_season_model(terms: SeasonTerms) -> SeasonModel:
    """Return the whole model of a season with its objective, nothing kept or hinted."""
    season = SeasonModel(terms, cp_model.CpModel(), {}, {}, {})
    for block in terms.blocks:
        _add_block(season, block)
    blocks = {block.id: block for block in terms.blocks}
    for block in terms.blocks:
        for before, same in block.after:
            _add_order(season, blocks[before], block, same)
    for row in terms.rows:
        season.model.add(
            total(amount * season.units[block, row.session] for block, amount in row.parts)
            <= row.limit
        )
    for stock in terms.stock:
        used = total(
            amount * season.done(blocks[block], stock.session) for block, amount in stock.parts
        )
        season.model.add(used <= stock.delivered)
    season.model.maximize(total(_worth(season, block) for block in terms.blocks))
    return season


def _add_block(season: SeasonModel, block: Block) -> None:
    model = season.model
    for session in block.sessions:
        most = _most_units(season.terms, block, session)
        units = model.new_int_var(0, most, f"u{block.id}s{session}")
        used = model.new_bool_var(f"x{block.id}s{session}")
        model.add(units <= most * used)
        model.add(units >= used)
        season.units[block.id, session] = units
        season.used[block.id, session] = used
    model.add(season.done(block, len(season.terms.problem.sessions)) <= block.units)


def _most_units(terms: SeasonTerms, block: Block, session: int) -> int:
    """Return how many units of a block one session could hold if it did nothing else."""
    most = block.units
    for row in terms.rows:
        if row.session == session:
            amount = dict(row.parts).get(block.id, 0)
            if amount:
                most = min(most, row.limit // amount)
    return max(0, most)


def _finished(season: SeasonModel, block: Block, end: int) -> cp_model.IntVar:
    """Return whether a block is finished by the end of a session; 0 before the first."""
    if (block.id, end) not in season.finished:
        finished = season.model.new_bool_var(f"f{block.id}s{end}")
        season.model.add(season.done(block, end) >= block.units * finished)
        season.finished[block.id, end] = finished
        if (block.id, end - 1) in season.finished:
            season.model.add_implication(season.finished[block.id, end - 1], finished)
    return season.finished[block.id, end]


def _add_order(season: SeasonModel, before: Block, after: Block, same_session: bool) -> None:
    for session in after.sessions:
        until = session if same_session else session - 1
        used = season.used[after.id, session]
        season.model.add_implication(used, _finished(season, before, until))
        if before.units > 0 and before.id != after.id:
            # A cut, true since units of the later stand only beside all of the earlier.
            season.model.add(
                before.units * season.done(after, session)
                <= after.units * season.done(before, until)
            )


def _worth(season: SeasonModel, block: Block) -> Linear:
    terms, model = season.terms, season.model
    worth: Linear = total(
        terms.worth(block, session) * season.units[block.id, session] for session in block.sessions
    )
    split = sum(item.split_penalty for item in block.items)
    if split and block.sessions:
        extra = model.new_int_var(0, len(block.sessions), f"x{block.id}")
        model.add(extra >= total(season.used[block.id, s] for s in block.sessions) - 1)
        worth -= split * extra
    last = len(terms.problem.sessions)
    for item in block.items:
        if item.finish_by is not None and item.late_penalty:
            for end in range(item.finish_by, last):
                worth -= item.late_penalty * (1 - _finished(season, block, end))
    return worth


def _keep(season: SeasonModel, keep: tuple[PlannedUnits, ...]) -> None:
    index = {session.id: number for number, session in enumerate(season.terms.problem.sessions)}
    for part in keep:
        block = season.terms.block_of.get(part.item)
        variable = None if block is None else season.units.get((block, index.get(part.session, -1)))
        if variable is not None:
            season.model.add(variable >= part.units)
        elif part.units > 0:
            season.model.add_bool_or([])  # promised where it cannot be done: impossible


def _hint(season: SeasonModel, chosen: Chosen) -> None:
    for key, variable in sorted(season.units.items()):
        season.model.add_hint(variable, chosen.get(key, 0))
        season.model.add_hint(season.used[key], chosen.get(key, 0) > 0)
    blocks = {block.id: block for block in season.terms.blocks}
    for (block, end), variable in sorted(season.finished.items()):
        done = sum(chosen.get((block, s), 0) for s in blocks[block].sessions if s <= end)
        season.model.add_hint(variable, done >= blocks[block].units)


def _read(season: SeasonModel, found: Found) -> tuple[PlannedUnits, ...]:
    sessions = season.terms.problem.sessions
    planned = []
    for block in season.terms.blocks:
        for session in block.sessions:
            units = found.solver.value(season.units[block.id, session])
            if units:
                planned += [PlannedUnits(i.id, sessions[session].id, units) for i in block.items]
    order = {session.id: number for number, session in enumerate(sessions)}
    return tuple(sorted(planned, key=lambda part: (part.item, order[part.session])))


def _check(
    problem: SeasonProblem, planned: tuple[PlannedUnits, ...], value: int | None, found: Found
) -> None:
    faults = find_season_faults(problem, planned)
    if faults:
        raise EngineFault("The solver's season breaks what must hold.", faults)
    if value is not None and found.objective is not None and value < found.objective:
        raise EngineFault(f"The season counts {value}, the solver {found.objective}.")
