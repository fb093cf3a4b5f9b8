"""A roster for the people who came: as much of the published one as can be kept.

Front door: `repair_roster`. Rounds that are over stay as they were. In strict
order: no hole stays open, no young person waits alone, work that must be done,
fewest changed places, other work, comfort. Not for a roster from nothing
(`day`), and nobody is told here.

Source of the idea: least change from a published roster as its own stage of the
aim, as in the rerostering of nurses; no single publication is followed.
"""

from dataclasses import dataclass, replace

from scheduling.domain.day_events import DayEvents, RestOfDay, Rules, find_rest
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, Progress, ShouldStop
from scheduling.domain.planner.rest_model import Aim, RestModel, build_rest_model, read_rest
from scheduling.domain.planner.search import Clock, Found, run_search
from scheduling.domain.planner.soundness import check_limits, check_problem
from scheduling.domain.planner.stops import say_conflict, say_stops
from scheduling.domain.points import points_of
from scheduling.domain.problem import CrewTask, RosterProblem
from scheduling.domain.roster import Assignment, Roster, SolveStatus
from scheduling.domain.roster_shape import UNITS
from scheduling.domain.rule import Finding
from scheduling.domain.verify import find_violations
from scheduling.domain.wording import plural

MOST_TRIMS = 6  # rounds of taking broken crews out before beginning with nobody
NEAR_SHARE = 0.45  # of the time left, what the search near the published roster may use
STAGE_SHARE = 0.8  # what one stage may use before the next has its turn

_Watch = tuple[OnProgress | None, ShouldStop | None]


@dataclass(frozen=True, slots=True)
class ChangedPlace:
    """One person-round that is not as it was told; None is no task."""

    person: PersonId
    round: int
    was: TaskId | None
    now: TaskId | None


@dataclass(frozen=True, slots=True)
class Repair:
    """A repaired roster and what it took.

    `roster` is the whole day, past rounds as they were. `kept` of the `told`
    person-rounds ahead of those still there are as before; no roster that gets
    as much of the required work done changes fewer than `changes_at_least`.
    `holes_left` counts, by the task that should fill them, holes nobody may
    fill. `stops` are whole sentences: what stops and why, who waits with whom.
    """

    status: SolveStatus
    roster: Roster | None
    changed: tuple[ChangedPlace, ...]
    kept: int
    told: int
    changes_at_least: int
    required_left: int
    holes_left: tuple[tuple[TaskId, int], ...]
    stops: tuple[str, ...]
    seconds: float
    seed: int


@dataclass(slots=True)
class _Try:
    """What the search has so far."""

    roster: Roster | None = None
    holes_left: tuple[tuple[TaskId, int], ...] = ()
    changes_at_least: int = 0
    required_left: int = 0
    reached: int | None = None  # of required work and changes as one aim
    is_impossible: bool = False
    all_proven: bool = True


def repair_roster(
    problem: RosterProblem,
    rules: Rules,
    published: Roster,
    events: DayEvents,
    limits: Limits,
    *,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> Repair:
    """Return the roster of the rest of the day that changes least.

    Args:
        problem: The day as planned.
        rules: What every rule demands of a problem, usually `rules.all_conditions`;
            asked again for those who are there now.
        published: What people were told.
        events: Who came, who left, what was lost, which rounds are over.
        limits: Wall seconds, seed, threads.
        on_progress: Called in this thread with each better answer.
        should_stop: Polled in this thread.

    Returns:
        BEST when it is proven that nothing in the order of aims can be better;
        GOOD when the search was cut short; IMPOSSIBLE when locks contradict the
        rules (`stops` say which); UNDECIDED when no roster was found in time:
        then the published one stays as it is.

    Raises:
        RosterError: If events, problem or limits contradict themselves.
        EngineFault: If `verify` refuses the answer; a bug.
    """
    check_limits(limits)
    check_problem(problem)
    rest = find_rest(problem, rules, published, events)
    check_problem(rest.problem)
    clock = Clock(limits)
    found = _search(rest, published, clock, (on_progress, should_stop))
    if found.roster is None:
        return _without_roster(rest, found, clock)
    _refuse_broken(rest, found.roster)
    changed = find_changed(rest, found.roster)
    return Repair(
        status=SolveStatus.BEST if found.all_proven else SolveStatus.GOOD,
        roster=_whole_day(rest, found.roster),
        changed=changed,
        kept=len(rest.told) - len(changed),
        told=len(rest.told),
        changes_at_least=min(found.changes_at_least, len(changed)),
        required_left=found.required_left,
        holes_left=found.holes_left,
        stops=say_stops(rest, published, found.roster, found.holes_left),
        seconds=round(clock.seconds, 3),
        seed=limits.seed,
    )


def keep_what_holds(rest: RestOfDay) -> Roster:
    """Return what was told for the rounds ahead, without the crews that can no longer stand.

    Args:
        rest: What is left of the day.

    Returns:
        A roster without units that breaks no condition: whole crews go until none is refused.
    """
    cells = [Assignment(p, r, task) for p, r, task in rest.told if task is not None]
    for _ in range(MOST_TRIMS):
        roster = Roster(tuple(cells), ())
        broken = [f for f in find_violations(rest.problem, rest.conditions, roster) if f.rule]
        if not broken:
            return roster
        cells = [cell for cell in cells if not any(_concerns(f, cell) for f in broken)]
    return Roster((), ())


def _concerns(finding: Finding, cell: Assignment) -> bool:
    if finding.round is not None and finding.round != cell.round:
        return False
    if finding.task is not None:
        return finding.task == cell.task
    return cell.person in finding.people or not finding.people


def find_changed(rest: RestOfDay, roster: Roster) -> tuple[ChangedPlace, ...]:
    """Return every person-round that is not as it was told, in order."""
    now = {(cell.person, cell.round): cell.task for cell in roster.assignments}
    return tuple(
        ChangedPlace(person, round_, was, now.get((person, round_)))
        for person, round_, was in rest.told
        if now.get((person, round_)) != was
    )


def _search(rest: RestOfDay, published: Roster, clock: Clock, watch: _Watch) -> _Try:
    """Search near what was told, then everywhere, and only in need with holes left open."""
    found = _Try()
    start = keep_what_holds(rest)
    near = build_rest_model(rest, published, start, strict=True, near=True)
    if not near.day.works:
        return _nobody_works(rest)
    _run_aims(found, near, near.aims[:1], clock, watch, share=NEAR_SHARE)
    model = build_rest_model(rest, published, found.roster or start, strict=True)
    kept = _Try(roster=found.roster, required_left=found.required_left)
    if found.roster is not None and found.reached is not None:
        model.day.model.add(model.aims[0].expression <= found.reached)
    _run_aims(kept, model, model.aims, clock, watch)
    if not kept.is_impossible:
        return kept
    model = build_rest_model(rest, published, start, strict=False)
    loose = _Try()
    _run_aims(loose, model, model.aims, clock, watch)
    return loose


def _nobody_works(rest: RestOfDay) -> _Try:
    left = tuple((hole.closes, hole.units) for hole in rest.holes if hole.units)
    worth = sum(t.value_per_unit * t.units for t in rest.problem.tasks if t.required)
    is_locked = any(task is not None for _, _, task in rest.problem.locks)
    roster = None if is_locked else Roster((), ())
    changed = sum(task is not None for _, _, task in rest.told)
    return _Try(roster, left, changed, worth, is_impossible=is_locked)


def _run_aims(
    found: _Try,
    model: RestModel,
    aims: tuple[Aim, ...],
    clock: Clock,
    watch: _Watch,
    *,
    share: float = STAGE_SHARE,
) -> None:
    """Run the aims in order, each fixed before the next."""
    for aim in aims:
        if clock.left <= 0:
            found.all_proven = False
            return
        if aim.is_least:
            model.day.model.minimize(aim.expression)
        else:
            model.day.model.maximize(aim.expression)
        # Without presolve the same two seconds proved five days of 40 people out
        # of eight; with it one, and many more places were changed.
        ending = run_search(
            model.day.model,
            clock,
            stage=aim.label,
            seconds=clock.left * share,
            on_progress=_in_words(watch[0], model) if aim.name == "kept" else watch[0],
            should_stop=watch[1],
            presolve=False,
        )
        if not _note(found, model, aim.name, ending):
            return
        reached = ending.objective or 0
        fixed = aim.expression <= reached if aim.is_least else aim.expression >= reached
        model.day.model.add(fixed)


def _in_words(on_progress: OnProgress | None, model: RestModel) -> OnProgress | None:
    """Return what tells work left and places changed apart, which are searched as one figure."""
    if on_progress is None:
        return None
    tell, most = on_progress, len(model.rest.told) + 1

    def heard(progress: Progress) -> None:
        if progress.value is None:
            tell(progress)
            return
        left, changed = divmod(progress.value, most)
        work = f"leaves work worth {left} undone that must be done" if left else "does all of it"
        said = f"the best repair so far {work} and changes {plural(changed, 'place')}"
        if progress.bound is not None:
            least_left, least = divmod(max(0, progress.bound), most)
            if least_left == left:
                said += f"; at least {least} must change"
        tell(replace(progress, said=said))

    return heard


def _note(found: _Try, model: RestModel, name: str, ending: Found) -> bool:
    """Keep what one run found; say whether the next aim has something to go on."""
    found.all_proven = found.all_proven and ending.proven
    if not ending.has_answer:
        if ending.proven and found.roster is not None:
            raise EngineFault(f"A repair was found, yet “{name}” was called impossible afterwards.")
        found.is_impossible = ending.is_impossible
        return False  # without the value reached, a later aim could undo this one
    found.roster, found.holes_left = read_rest(model, ending.solver)
    model.hint(ending.solver)
    if name == "kept":
        most = len(model.rest.told) + 1
        found.reached = ending.objective
        found.required_left, changed = divmod(ending.objective or 0, most)
        least_left, least_changed = divmod(max(0, ending.bound or 0), most)
        if least_left == found.required_left:
            found.changes_at_least = min(changed, least_changed)
    return True


def _without_roster(rest: RestOfDay, found: _Try, clock: Clock) -> Repair:
    status = SolveStatus.IMPOSSIBLE if found.is_impossible else SolveStatus.UNDECIDED
    stops: tuple[str, ...] = (
        "No repair was found in time. The published roster stays as it is; "
        "nobody is told anything new.",
    )
    if found.is_impossible:
        stops = say_conflict(rest, clock.limits)
    return Repair(
        status, None, (), 0, len(rest.told), 0, 0, (), stops,
        round(clock.seconds, 3), clock.limits.seed,
    )  # fmt: skip


def _whole_day(rest: RestOfDay, ahead: Roster) -> Roster:
    cells = sorted(
        (*rest.past.assignments, *ahead.assignments), key=lambda cell: (cell.person, cell.round)
    )
    units = sorted((*rest.past.units, *ahead.units), key=lambda line: (line.task, line.round))
    return Roster(tuple(cells), tuple(units))


def _refuse_broken(rest: RestOfDay, ahead: Roster) -> None:
    """Judge the rounds ahead with `verify`, which knows no solver, and count time and holes.

    `verify` does not see the points put in before now, so time for units is
    counted here with them.
    """
    findings = [
        finding
        for finding in find_violations(rest.problem, rest.conditions, ahead)
        if not (finding.rule == UNITS and finding.round is not None and finding.required)
    ]
    texts = [finding.text for finding in findings]
    texts += [
        f"Task {task.id} has too little time by round {round_ + 1}."
        for task in rest.problem.tasks
        for round_ in rest.ahead
        if not _has_time(rest, ahead, task, round_)
    ]
    if texts:
        raise EngineFault("The repair breaks conditions it was given.", tuple(texts))


def _has_time(rest: RestOfDay, ahead: Roster, task: CrewTask, round_: int) -> bool:
    points = {person.id: points_of(rest.problem, person) for person in rest.problem.people}
    put_in = dict(rest.spare).get(task.id, 0) + sum(
        points[c.person] for c in ahead.assignments if c.task == task.id and c.round <= round_
    )
    done = sum(u.units for u in ahead.units if u.task == task.id and u.round <= round_)
    return done * task.points_per_unit <= put_in
