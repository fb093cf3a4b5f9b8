"""A roster changed by a coordinator's hand: one person moved in one round, judged at once."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import RosterUnknown
from scheduling.domain.hand_edit import move_person
from scheduling.domain.judgement import judge_roster
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster
from scheduling.domain.rule import Finding
from scheduling.domain.waiving import mark_finding
from scheduling.models import Roster as RosterRow
from scheduling.models import Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.rosters import keep_by_hand


@dataclass(frozen=True, slots=True)
class EditReceipt:
    """The roster after a move, its version when it was kept, and what the rules say of it."""

    version: int | None
    findings: tuple[Finding, ...]
    came: tuple[Finding, ...]
    gone: tuple[Finding, ...]


def preview_move(
    *, session_id: int, roster_id: int, person: PersonId, round_: int, task: TaskId | None
) -> EditReceipt:
    """Return what the rules would say of the newest roster after one move; nothing is kept.

    Raises:
        RosterUnknown: If a newer roster was made meanwhile, or there is none.
        RosterError: If the session has no such person, round or task.
    """
    problem = load_roster_problem(session_id)
    before = load_roster(_get_newest(session_id, roster_id))
    return _judge(problem, before, move_person(problem, before, person, round_, task), None)


def edit_place(
    *,
    session_id: int,
    roster_id: int,
    person: PersonId,
    round_: int,
    task: TaskId | None,
    by: int,
    at: datetime,
) -> EditReceipt:
    """Move one person in one round of the newest roster and keep it as a new draft version.

    Whatever the rules say of it, the draft is kept and shown with its findings;
    publishing is what they keep it from.

    Args:
        session_id: The session.
        roster_id: The roster the coordinator was looking at.
        person: Whom to move; a pupil by the number below zero.
        round_: The round, counted from 0.
        task: Where to; None leaves them without a task.
        by: The account that moves them.
        at: Now, aware.

    Raises:
        RosterUnknown: If a newer roster was made meanwhile, or there is none.
        RosterError: If the session has no such person, round or task.
    """
    problem = load_roster_problem(session_id)
    version = None
    with transaction.atomic():
        # Locked before the newest is looked up: two moves at once never undo one another.
        Session.objects.select_for_update().get(pk=session_id)
        before = load_roster(_get_newest(session_id, roster_id))
        after = move_person(problem, before, person, round_, task)
        if set(after.assignments) != set(before.assignments):
            version = keep_by_hand(session_id=session_id, roster=after, by=by, at=at)
    return _judge(problem, before, after, version)


def _get_newest(session_id: int, roster_id: int) -> int:
    newest = find_current_id(session_id)
    if newest is None or newest != roster_id:
        known = RosterRow.objects.filter(pk=roster_id, session_id=session_id).exists()
        what = "A newer roster was made meanwhile" if known else "This roster is not there"
        raise RosterUnknown(f"{what}. Reload the page and look at the newest one first.")
    return newest


def _judge(
    problem: RosterProblem, before: Roster, after: Roster, version: int | None
) -> EditReceipt:
    was, now = judge_roster(problem, before), judge_roster(problem, after, remedies=True)
    old, new = {mark_finding(f) for f in was}, {mark_finding(f) for f in now}
    return EditReceipt(
        version=version,
        findings=now,
        came=tuple(finding for finding in now if mark_finding(finding) not in old),
        gone=tuple(finding for finding in was if mark_finding(finding) not in new),
    )
