"""The frozen input and output of a season: which work in which session.

Mirrors the season documents: people appear only as classes (age band and
skills) and as the minutes that sets of classes can give, already cautious.
"""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.people import Band, ItemId, SessionId
from scheduling.domain.roster import ENGINE_VERSION, SolveStatus


@dataclass(frozen=True, slots=True)
class PeopleClass:
    """People alike in age band and skills."""

    id: int
    band: Band
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SetCapacity:
    """Person-minutes that any of these classes together can give in a session."""

    classes: tuple[int, ...]
    person_min: int


@dataclass(frozen=True, slots=True)
class SeasonSession:
    """One session as the season sees it.

    `young` pairs an age band below adult with the person-minutes that people of
    this band and younger are expected to give: so much work for them is wished for.
    """

    id: SessionId
    on: date
    usable_min: int
    people_expected: int
    capacity: tuple[SetCapacity, ...]
    tools: tuple[tuple[str, int], ...]
    most_crews: int
    young: tuple[tuple[Band, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Demand:
    """Minutes per unit from people of at least this band who hold the skill ("" for none)."""

    skill: str
    least_band: Band
    minutes_per_unit: int


@dataclass(frozen=True, slots=True)
class Item:
    """A task as the season sees it. Sessions are indices into the season's sessions.

    `materials` are whole quantities per unit. `after` pairs an item with whether
    it may follow in the same session. `sessions` are those its window allows.
    `lag_days` pairs an item of `after` with the days that must pass from the day
    it was finished. A unit may stand for several of the task's own: `units_in_one` of them, the
    last one perhaps for fewer. `title` names the item in sentences; without one
    its id does. `task_units` of the task's own `unit` are open, told in sentences where
    `unit` is known.
    """

    id: ItemId
    place: str
    kind: str
    units: int
    demands: tuple[Demand, ...]
    crew_least: int
    crew_most: int
    tools: tuple[tuple[str, int], ...]
    materials: tuple[tuple[str, int], ...]
    sessions: tuple[int, ...]
    after: tuple[tuple[ItemId, bool], ...]
    closes: ItemId | None
    value_per_unit: int
    finish_by: int | None = None
    late_penalty: int = 0
    split_penalty: int = 0
    units_in_one: int = 1
    title: str = ""
    lag_days: tuple[tuple[ItemId, int], ...] = ()
    unit: str = ""
    task_units: int = 0


@dataclass(frozen=True, slots=True)
class Stock:
    """Deliveries of one material: (session index from which it is there, quantity).

    `unit` is the quantity's symbol, for sentences; empty where nobody named it.
    """

    material: str
    deliveries: tuple[tuple[int, int], ...]
    unit: str = ""


@dataclass(frozen=True, slots=True)
class SeasonProblem:
    """Everything a season plan is made from. `discount` is per session, in thousandths.

    `heavy_kinds` are kinds of work of which no session consists alone: each may
    take at most `heavy_most_percent` of the session's person-minutes.
    `kept_free_percent` of the person-minutes is kept free for weather.
    `young_penalty` is what a minute of wished-for work for the young that is not
    planned costs, in the objective's figure.
    """

    name: str
    classes: tuple[PeopleClass, ...]
    sessions: tuple[SeasonSession, ...]
    items: tuple[Item, ...]
    materials: tuple[Stock, ...]
    discount: tuple[int, ...]
    heavy_kinds: tuple[str, ...] = ()
    heavy_most_percent: int = 100
    kept_free_percent: int = 0
    young_penalty: int = 0


@dataclass(frozen=True, slots=True)
class PlannedUnits:
    """Whole units of an item given to a session."""

    item: ItemId
    session: SessionId
    units: int


@dataclass(frozen=True, slots=True)
class SeasonResult:
    """What the engine answers for a season.

    `left_out` says in sentences which work did not fit and why, `notes` what was
    kept for comfort's sake.
    """

    status: SolveStatus
    planned: tuple[PlannedUnits, ...]
    value: int | None
    bound: int | None
    seconds: float
    seed: int
    engine: str = ENGINE_VERSION
    left_out: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
