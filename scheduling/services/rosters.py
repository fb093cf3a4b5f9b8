"""Makes draft rosters: loads the day, asks the planner, keeps what was verified."""

from dataclasses import asdict
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Max

from scheduling.domain.condition import Condition
from scheduling.domain.errors import (
    LocksContradict,
    NoAdultComing,
    NobodyComing,
    NothingPlanned,
)
from scheduling.domain.lock_check import find_lock_faults
from scheduling.domain.people import PersonId, find_pupil
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import OnProgress, ShouldStop
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import ENGINE_VERSION, Roster, RosterResult, Value
from scheduling.domain.rules import all_conditions
from scheduling.domain.wording import plural
from scheduling.models import Roster as RosterRow
from scheduling.models import RosterPlace, RosterUnits, Session
from scheduling.queries.problems import load_roster_problem

BY_HAND = "by hand"
REPAIRED = "repaired"
SPARE_HANDS = "spare hands"
LOADED = "loaded"  # from a document: whatever it says of itself, nothing is proven here


def propose_roster(
    *,
    session_id: int,
    by: int | None,
    at: datetime,
    limits: Limits | None = None,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> RosterResult:
    """Solve the session's roster and keep it as a draft in place of an earlier draft.

    An answer without a roster (impossible, undecided) is returned and nothing is kept.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    _, result = search_roster(
        session_id=session_id,
        limits=limits or Limits(seconds=settings.ROSTER_SECONDS),
        on_progress=on_progress,
        should_stop=should_stop,
    )
    keep_draft(session_id=session_id, result=result, by=by, at=at)
    return result


def search_roster(
    *,
    session_id: int,
    limits: Limits,
    on_progress: OnProgress | None = None,
    should_stop: ShouldStop | None = None,
) -> tuple[RosterProblem, RosterResult]:
    """Search a roster outside any transaction and keep nothing; return the day searched too.

    Raises:
        PlannerError: As `load_hopeful_problem` does.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.day import solve_roster

    problem, conditions = load_hopeful_problem(session_id)
    return problem, solve_roster(
        problem, conditions, limits, on_progress=on_progress, should_stop=should_stop
    )


def load_hopeful_problem(session_id: int) -> tuple[RosterProblem, tuple[Condition, ...]]:
    """Return the session's problem and conditions, refusing what no search could answer.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    problem = load_roster_problem(session_id)
    _refuse_hopeless(problem)
    conditions = all_conditions(problem)
    refuse_contradiction(problem, conditions)
    return problem, conditions


def refuse_contradiction(problem: RosterProblem, conditions: tuple[Condition, ...]) -> None:
    """Refuse fixed places that break a rule by themselves.

    Raises:
        LocksContradict: With the gravest finding's sentence and how many more there are.
    """
    faults = find_lock_faults(problem, conditions) if problem.locks else ()
    if not faults:
        return
    more = f" And {plural(len(faults) - 1, 'more finding')}." if len(faults) > 1 else ""
    raise LocksContradict(
        f"What is fixed leaves no roster. {faults[0].text}{more} Release a fixed place of these."
    )


def _refuse_hopeless(problem: RosterProblem) -> None:
    if not problem.people:
        raise NobodyComing(
            f"Nobody is signed up for {problem.name}. Ask people to sign up, then propose a roster."
        )
    if all(person.is_young for person in problem.people):
        raise NoAdultComing(
            f"No adult is signed up for {problem.name}: {len(problem.people)} young people would "
            "be alone. Find supervising adults first, or call the session off."
        )
    if not any(task.required for task in problem.tasks):
        raise NothingPlanned(
            f"No work is planned for {problem.name}. Plan the season first, then propose a roster."
        )


def keep_by_hand(*, session_id: int, roster: Roster, by: int, at: datetime) -> int:
    """Keep a roster that somebody changed by hand as the newest draft; return its version.

    No worth is kept with it: nobody searched for a better one.
    """
    known = {"status": BY_HAND, "seconds": 0.0, "seed": 0}
    return _keep(session_id, roster, by, at, known).version


def keep_loaded(*, session_id: int, roster: Roster, value: Value, by: int, at: datetime) -> int:
    """Keep a roster that came back in a document as the newest draft; return its version.

    Its worth is kept as counted here; no bound is, for none was proven here.
    """
    known = {"status": LOADED, "value": asdict(value), "engine": LOADED, "seconds": 0.0, "seed": 0}
    return _keep(session_id, roster, by, at, known).version


def keep_searched(
    *, session_id: int, roster: Roster, known: dict[str, Any], by: int, at: datetime
) -> int:
    """Keep a roster made for a purpose of its own as the newest draft; return its version.

    `known` has its status, value, seconds and seed. No bound is kept: what was
    proven held for that purpose, not for the day's roster.
    """
    return _keep(session_id, roster, by, at, {"engine": ENGINE_VERSION} | known).version


def keep_draft(
    *, session_id: int, result: RosterResult, by: int | None, at: datetime
) -> int | None:
    """Keep an answer's roster as the newest draft; return its number, or None without a roster."""
    if result.roster is None:
        return None
    known = {
        "status": result.status,
        "value": asdict(result.value) if result.value else {},
        "bound": asdict(result.bound) if result.bound else {},
        "seconds": result.seconds,
        "seed": result.seed,
        "engine": result.engine,
        "unfilled": list(result.unfilled),
    }
    return int(_keep(session_id, result.roster, by, at, known).pk)


def _keep(
    session_id: int, roster: Roster, by: int | None, at: datetime, known: dict[str, Any]
) -> RosterRow:
    plain: dict[str, Any] = {"value": {}, "bound": {}, "engine": BY_HAND, "unfilled": []}
    with transaction.atomic():
        Session.objects.select_for_update().get(pk=session_id)
        rows = RosterRow.objects.filter(session_id=session_id)
        newest = rows.aggregate(newest=Max("version"))["newest"] or 0
        rows.filter(state=RosterRow.State.DRAFT).update(state=RosterRow.State.REPLACED)
        row = RosterRow.objects.create(
            session_id=session_id,
            version=newest + 1,
            made_at=at,
            made_by_id=by,
            **(plain | known),
        )
        RosterPlace.objects.bulk_create(
            _place(row, assignment.person, assignment.round, assignment.task)
            for assignment in roster.assignments
        )
        RosterUnits.objects.bulk_create(
            RosterUnits(roster=row, task_id=done.task, round=done.round, units=done.units)
            for done in roster.units
            if done.units
        )
        return row


def _place(row: RosterRow, person: PersonId, round_: int, task: int) -> RosterPlace:
    pupil = find_pupil(person)
    if pupil is None:
        return RosterPlace(roster=row, person_id=person, round=round_, task_id=task)
    group, number = pupil
    return RosterPlace(roster=row, group_id=group, pupil=number, round=round_, task_id=task)
