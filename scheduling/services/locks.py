"""Fixes somebody's place before the planner searches, and releases it again."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from django.db import transaction

from scheduling.domain.errors import LocksContradict
from scheduling.domain.people import PersonId, TaskId, find_pupil
from scheduling.domain.problem import Fixed, RosterProblem
from scheduling.domain.rules import all_conditions
from scheduling.models import RosterLock, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.services.rosters import refuse_contradiction


def fix_place(
    *,
    session_id: int,
    person: PersonId,
    rounds: tuple[int, ...],
    task: TaskId | None,
    by: int,
    at: datetime,
) -> int:
    """Fix somebody at a task, or at rest, in some rounds; return how many places that changed.

    A place fixed before in the same round is replaced. What contradicts a rule or
    another fixed place is refused as a whole; a search is needed to see the rest.

    Args:
        session_id: The session.
        person: Whom; a pupil by the number below zero.
        rounds: Counted from 0.
        task: Where; None for rest.
        by: The account that fixes it.
        at: Now, aware.

    Raises:
        LocksContradict: If somebody, a round or the task is not of the session, or
            no roster could hold the place: the sentence says which rule refuses it.
    """
    with transaction.atomic():
        Session.objects.select_for_update().get(pk=session_id)
        problem = load_roster_problem(session_id)
        _refuse_unknown(problem, person, rounds, task)
        locked = replace(problem, locks=_fixed_anew(problem, person, rounds, task))
        refuse_contradiction(locked, all_conditions(locked))
        changed = 0
        for round_ in sorted(set(rounds)):
            changed += _keep(session_id, person, round_, task, by, at)
        return changed


def release_place(*, session_id: int, lock_id: int) -> bool:
    """Release a fixed place of the session; false if it was released already."""
    released, _ = RosterLock.objects.filter(session_id=session_id, pk=lock_id).delete()
    return released > 0


def _fixed_anew(
    problem: RosterProblem, person: PersonId, rounds: tuple[int, ...], task: TaskId | None
) -> tuple[Fixed, ...]:
    """Return the locks of the problem with these in place of earlier ones of the same rounds."""
    others = [lock for lock in problem.locks if lock[0] != person or lock[1] not in rounds]
    these = [(person, round_, task) for round_ in sorted(set(rounds))]
    return tuple(sorted([*others, *these], key=lambda lock: lock[:2]))


def _keep(
    session_id: int, person: PersonId, round_: int, task: TaskId | None, by: int, at: datetime
) -> int:
    """Keep one fixed place; return 0 if it was fixed like this already."""
    pupil = find_pupil(person)
    group, number = (None, None) if pupil is None else pupil
    whose: dict[str, Any] = {
        "session_id": session_id,
        "person_id": person if pupil is None else None,
        "group_id": group,
        "pupil": number,
        "round": round_,
    }
    known = RosterLock.objects.filter(**whose).first()
    if known is not None and known.task_id == task:
        return 0
    RosterLock.objects.update_or_create(
        **whose, defaults={"task_id": task, "made_by_id": by, "made_at": at}
    )
    return 1


def _refuse_unknown(
    problem: RosterProblem, person: PersonId, rounds: tuple[int, ...], task: TaskId | None
) -> None:
    if person not in {one.id for one in problem.people}:
        raise LocksContradict(
            f"Nobody with number {person} comes to {problem.name}. Reload the page."
        )
    if not rounds or any(not 0 <= round_ < problem.rounds for round_ in rounds):
        raise LocksContradict(f"{problem.name} has rounds 1 to {problem.rounds}. Choose of these.")
    if task is not None and task not in {one.id for one in problem.tasks}:
        raise LocksContradict(f"{problem.name} has no task with number {task}. Reload the page.")
