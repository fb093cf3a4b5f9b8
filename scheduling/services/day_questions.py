"""Asks for answers about a session's day: its chance, a longer search of a repair, what would help.

Whether a question can be asked at all is found out first. Not for answering:
`chances`, `repairs` and `better_days` do, within `searches`.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from scheduling.domain.day_events import find_rest
from scheduling.domain.day_happened import Happened, write_happened
from scheduling.domain.rules import all_conditions
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_roster
from scheduling.queries.runs import REPAIR
from scheduling.services.repairs import refuse_older_roster
from scheduling.services.rosters import load_hopeful_problem
from scheduling.services.runs import RunReceipt, start_answer_run


@dataclass(frozen=True, slots=True)
class Asker:
    """How a question is asked: the seconds it may take, the seed, who asks and when."""

    seconds: float
    seed: int
    by: int | None
    at: datetime


def ask_about_day(
    *, kind: str, session_id: int, asker: Asker, asked: dict[str, Any] | None = None
) -> RunReceipt:
    """Ask for a session's chance, one more of each, or spare hands; or return what is under way.

    Args:
        kind: Which of them.
        session_id: The session.
        asker: Who asks, and for how long.
        asked: For spare hands, what `spare_hands.write_spare` makes of those wished for.

    Raises:
        PlannerError: If nobody or no adult is confirmed, no work is planned, or
            what is fixed contradicts a rule.
    """
    load_hopeful_problem(session_id)
    return _start(kind, session_id, asked or {}, asker)


def ask_for_repair(
    *, session_id: int, roster_id: int, happened: Happened, sent: dict[str, Any], asker: Asker
) -> RunReceipt:
    """Ask for a longer search of a repair, or return the search under way.

    Args:
        session_id: The session.
        roster_id: The roster to repair: the newest.
        happened: What happened.
        sent: The same as it was typed, so that the form shows it again.
        asker: Who asks, and for how long.

    Raises:
        RosterUnknown: If there is no roster, or a newer one was made meanwhile.
        RosterError: If the events name what the day does not have.
    """
    refuse_older_roster(session_id, roster_id)
    problem = load_roster_problem(session_id)
    find_rest(problem, all_conditions, load_roster(roster_id), happened.events)
    asked = {"roster": roster_id, "happened": write_happened(happened), "sent": sent}
    return _start(REPAIR, session_id, asked, asker)


def _start(kind: str, session_id: int, asked: dict[str, Any], asker: Asker) -> RunReceipt:
    return start_answer_run(
        kind=kind,
        session_id=session_id,
        asked=asked,
        seconds=asker.seconds,
        seed=asker.seed,
        by=asker.by,
        at=asker.at,
    )
