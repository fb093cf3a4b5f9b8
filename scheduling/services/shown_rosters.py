"""Rosters that were shown and may be kept: exactly the one that was seen, and only once.

A search that time ended finds another answer when it is asked again. So a page
carries the roster it shows, signed by this site, and that one is kept. Not for
searching or judging.
"""

from dataclasses import asdict, dataclass
from datetime import datetime
from typing import Any

from django.core import signing
from django.db import transaction

from scheduling.domain.errors import AnswerRefused, RosterUnknown
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.worth import value_of
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Assignment, Roster, TaskUnits
from scheduling.domain.search_progress import digest_problem
from scheduling.models import Roster as RosterRow
from scheduling.models import Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.rosters import keep_searched
from scheduling.services.walk_ins import sign_up_walk_ins

SALT = "scheduling.shown_rosters"


@dataclass(frozen=True, slots=True)
class KeptRoster:
    """The version a shown roster has; `is_new` is false where it was kept before."""

    version: int
    is_new: bool


@dataclass(frozen=True, slots=True)
class Made:
    """How a shown roster came about: the word kept as its state, and its search."""

    status: str
    seconds: float
    seed: int


def seal_roster(
    *,
    session_id: int,
    before: int | None,
    problem: RosterProblem,
    roster: Roster,
    made: Made,
    came: tuple[int, ...] = (),
) -> str:
    """Return a roster as signed text for a hidden field.

    Args:
        session_id: The session.
        before: The newest roster's number when this one was searched, or None.
        problem: The session's day as it is kept, to know a day that changed since.
        roster: What is shown.
        made: How it came about.
        came: People in it who are not signed up; keeping it signs them up.
    """
    content = {
        "session": session_id,
        "before": before,
        "day": digest_problem(problem),
        "places": [[a.person, a.round, a.task] for a in roster.assignments],
        "units": [[u.task, u.round, u.units] for u in roster.units],
        "made": asdict(made),
        "came": list(came),
    }
    return signing.dumps(content, salt=SALT, compress=True)


def keep_shown_roster(*, session_id: int, sealed: str, by: int, at: datetime) -> KeptRoster:
    """Keep a roster that was shown as the newest draft; a second press keeps nothing more.

    Args:
        session_id: The session.
        sealed: What `seal_roster` returned when it was shown.
        by: The account that keeps it.
        at: Now, aware.

    Raises:
        AnswerRefused: If the text was not made here for this session, the day changed
            since, or somebody who came unannounced may not be taken in any more.
        RosterUnknown: If another roster was made meanwhile.
    """
    content = _open(session_id, sealed)
    roster = _roster(content)
    with transaction.atomic():
        # Locked before the newest is looked up: two presses at once keep one roster.
        session = Session.objects.select_for_update().get(pk=session_id)
        newest = find_current_id(session_id)
        if newest != content["before"]:
            return _kept_before(newest, roster)
        problem = load_roster_problem(session_id)
        if digest_problem(problem) != content["day"]:
            raise AnswerRefused(
                "Sign-ups, work or the day's figures have changed since this roster was shown. "
                "Look at it again."
            )
        if content["came"]:
            sign_up_walk_ins(session=session, problem=problem, people=content["came"], at=at)
            problem = load_roster_problem(session_id)  # with them
        version = keep_searched(
            session_id=session_id,
            roster=roster,
            known=content["made"] | {"value": asdict(value_of(problem, roster))},
            by=by,
            at=at,
        )
    return KeptRoster(version, is_new=True)


def _open(session_id: int, sealed: str) -> dict[str, Any]:
    try:
        content: dict[str, Any] = signing.loads(sealed, salt=SALT)
    except signing.BadSignature:
        raise AnswerRefused(
            "What came back is not what was shown. Look at the roster again."
        ) from None
    if content["session"] != session_id:
        raise AnswerRefused("This roster was shown for another session. Look at this one's.")
    return content


def _roster(content: dict[str, Any]) -> Roster:
    return Roster(
        tuple(Assignment(PersonId(p), r, TaskId(t)) for p, r, t in content["places"]),
        tuple(TaskUnits(TaskId(t), r, n) for t, r, n in content["units"]),
    )


def _kept_before(newest: int | None, roster: Roster) -> KeptRoster:
    """Return the newest roster's version where it is this one, pressed twice.

    Raises:
        RosterUnknown: If it is another one.
    """
    if newest is not None and set(load_roster(newest).assignments) == set(roster.assignments):
        version = RosterRow.objects.values_list("version", flat=True).get(pk=newest)
        return KeptRoster(version, is_new=False)
    raise RosterUnknown("A newer roster was made meanwhile. Look at that one first.")
