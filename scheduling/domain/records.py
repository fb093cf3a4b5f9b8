"""From what the sheets say to what they teach, and what must not be recorded.

Front doors: `check_record`, `to_observations`. Not for learning itself:
`orchard.domain.rate_learning`.
"""

from dataclasses import dataclass

from orchard.domain.errors import PlannerError
from orchard.domain.plan import PlannedTask
from orchard.domain.rate_learning import Observation
from scheduling.domain.wording import unit_words

YOUNG_PACE_PERCENT = 55
"""Of an adult's pace, for all young people of a crew together; an invented default."""


class RecordRefused(PlannerError):
    """A record that cannot be true, or that leaves holes open."""

    code = "records.refused"


@dataclass(frozen=True, slots=True)
class WorkEntry:
    """One task's line of the record: units done, people, and clock minutes at it."""

    task_id: int
    units: int
    adults: int
    young: int
    minutes: int
    note: str = ""

    @property
    def adult_min(self) -> float:
        """The time it took, in adult minutes."""
        return self.minutes * (self.adults + self.young * YOUNG_PACE_PERCENT / 100)


@dataclass(frozen=True, slots=True)
class OfferedTask:
    """A task the session may have worked at, and the units open before the session."""

    id: int
    task: PlannedTask
    units_open: int


def check_record(entries: tuple[WorkEntry, ...], offered: tuple[OfferedTask, ...]) -> None:
    """Refuse a record that cannot be true.

    Args:
        entries: What the sheets say.
        offered: The tasks of the session.

    Raises:
        RecordRefused: If units have no people or minutes, exceed what was open, or if
            holes opened and filled differ: all problems in one message.
    """
    known = {task.id: task for task in offered}
    problems = [text for entry in entries for text in _faults(entry, known)]
    problems += _open_holes(entries, known)
    if problems:
        raise RecordRefused(" ".join(problems))


def to_observations(
    entries: tuple[WorkEntry, ...], offered: tuple[OfferedTask, ...]
) -> tuple[Observation, ...]:
    """Return what the entries teach: those with work, time and a known activity."""
    known = {task.id: task.task for task in offered}
    return tuple(
        Observation(
            activity=known[entry.task_id].activity,
            units=entry.units,
            adult_min=entry.adult_min,
            planned_min_per_unit=known[entry.task_id].effort.mean_min,
        )
        for entry in entries
        if entry.units > 0 and entry.adult_min > 0 and known[entry.task_id].activity
    )


def _faults(entry: WorkEntry, known: dict[int, OfferedTask]) -> list[str]:
    offered = known.get(entry.task_id)
    if offered is None:
        return [f"Task {entry.task_id} is not one of this session's. Leave it out."]
    title, unit = offered.task.title, offered.task.unit
    if min(entry.units, entry.adults, entry.young, entry.minutes) < 0:
        return [f"“{title}”: no figure may be below 0."]
    if entry.units > offered.units_open:
        return [
            f"“{title}”: {unit_words(entry.units, unit)} done, but only "
            f"{offered.units_open} were open. Count again."
        ]
    if entry.units and not (entry.minutes and entry.adults + entry.young):
        return [f"“{title}”: write how many people did it, and for how many minutes."]
    return []


def _open_holes(entries: tuple[WorkEntry, ...], known: dict[int, OfferedTask]) -> list[str]:
    units = {entry.task_id: entry.units for entry in entries}
    by_key = {offered.task.key: offered for offered in known.values()}
    problems = []
    for offered in known.values():
        opener = by_key.get(offered.task.closes) if offered.task.closes else None
        if opener is None:
            continue
        opened, filled = units.get(opener.id, 0), units.get(offered.id, 0)
        if opened != filled:
            problems.append(
                f"“{opener.task.title}”: {opened} holes opened and {filled} filled. No hole stays "
                "open: fill or cover it now, then record the same number twice."
            )
    return problems
