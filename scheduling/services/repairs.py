"""Repairs a session's roster for who came: shown first, kept as a new draft when asked."""

from datetime import datetime
from typing import TYPE_CHECKING

from scheduling.domain.day_events import DayEvents
from scheduling.domain.errors import RosterUnknown
from scheduling.domain.planner.limits import Limits
from scheduling.domain.rules import all_conditions
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.services.rosters import keep_by_hand

if TYPE_CHECKING:
    from scheduling.domain.planner.repair import Repair

REPAIR_SECONDS = 2.0


def preview_repair(
    *, session_id: int, roster_id: int, events: DayEvents, limits: Limits | None = None
) -> "Repair":
    """Return the repair of the newest roster for what happened; nothing is kept.

    Raises:
        RosterUnknown: If there is no roster, or a newer one was made meanwhile.
        RosterError: If the events name what the day does not have.
    """
    # The solver library takes half a second to load; pages that never solve do not pay for it.
    from scheduling.domain.planner.repair import repair_roster

    if find_current_id(session_id) != roster_id:
        raise RosterUnknown(
            "A newer roster was made meanwhile, or there is none. Reload the page first."
        )
    return repair_roster(
        load_roster_problem(session_id),
        all_conditions,
        load_roster(roster_id),
        events,
        limits or Limits(seconds=REPAIR_SECONDS),
    )


def repair_session(
    *, session_id: int, roster_id: int, events: DayEvents, by: int, at: datetime
) -> tuple[int | None, "Repair"]:
    """Repair the newest roster and keep the answer as a new draft; return its version too.

    Without an answer, or with nobody moved, nothing is kept and the last roster stays.

    Raises:
        RosterUnknown: If there is no roster, or a newer one was made meanwhile.
        RosterError: If the events name what the day does not have.
    """
    repair = preview_repair(session_id=session_id, roster_id=roster_id, events=events)
    if repair.roster is None or set(repair.roster.assignments) == set(
        load_roster(roster_id).assignments
    ):
        return None, repair
    version = keep_by_hand(session_id=session_id, roster=repair.roster, by=by, at=at)
    return version, repair
