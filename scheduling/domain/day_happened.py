"""What somebody said happened on the day, as it is kept with a search and read back.

People who came without a sign-up are named by number here; who they are on the
day is looked up when it is reckoned with (`day_events` holds them whole).
"""

from dataclasses import dataclass, field
from typing import Any

from orchard.domain.errors import RosterError
from scheduling.domain.day_events import DayEvents
from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.roster import TaskUnits


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened; `came` are people without a sign-up, with the first round they are there."""

    events: DayEvents = field(default_factory=DayEvents)
    came: tuple[Left, ...] = ()


def write_happened(happened: Happened) -> dict[str, Any]:
    """Return what happened as plain values that `read_happened` takes back."""
    events = happened.events
    done = events.done
    return {
        "next_round": events.next_round,
        "left": [list(each) for each in events.left],
        "late": [list(each) for each in events.late],
        "came": [list(each) for each in happened.came],
        "tools_lost": [list(each) for each in events.tools_lost],
        "round_minutes": events.round_minutes,
        "dropped": list(events.dropped),
        "called_off": list(events.called_off),
        "done": None if done is None else [[u.task, u.round, u.units] for u in done],
    }


def read_happened(kept: dict[str, Any]) -> Happened:
    """Return what happened.

    Args:
        kept: As `write_happened` wrote it, after its way through JSON.

    Raises:
        RosterError: If it is of another shape, as an older version of the site kept it.
    """
    try:
        events = DayEvents(
            next_round=kept["next_round"],
            left=_pairs(kept["left"]),
            late=_pairs(kept["late"]),
            tools_lost=tuple((str(code), int(lost)) for code, lost in kept["tools_lost"]),
            round_minutes=kept["round_minutes"],
            dropped=tuple(kept["dropped"]),
            called_off=tuple(TaskId(task) for task in kept["called_off"]),
            done=_done(kept["done"]),
        )
        return Happened(events, _pairs(kept["came"]))
    except (KeyError, TypeError, ValueError):
        raise RosterError(
            "What happened was written down by another version of this site. Say it again."
        ) from None


def _pairs(kept: list[list[int]]) -> tuple[Left, ...]:
    return tuple((PersonId(who), int(at)) for who, at in kept)


def _done(kept: list[list[int]] | None) -> tuple[TaskUnits, ...] | None:
    if kept is None:
        return None
    return tuple(TaskUnits(TaskId(task), round_, units) for task, round_, units in kept)
