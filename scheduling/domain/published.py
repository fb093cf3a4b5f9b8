"""A roster ready for paper and calendar: one value that sheets and invites print.

Built by `queries.rosters.load_printed`. It holds no birth dates, no health
notes and no family names of young people, so that no printer can leak them.
"""

from dataclasses import dataclass
from datetime import datetime

from orchard.domain.place import Place, Pocket
from orchard.domain.plan import MaterialItem, PlannedTask, ToolItem
from orchard.domain.units import System
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.roster import Roster
from scheduling.domain.weather import WeatherVerdict


@dataclass(frozen=True, slots=True)
class EmergencyFacts:
    """What a caller must be able to say."""

    entrance: str
    latitude: float
    longitude: float
    number: str
    nearest_emergency_department: str
    muster_point: str
    shelter: str


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """The site as printed."""

    code: str
    name: str
    town: str
    organiser_name: str
    organiser_email: str
    time_zone: str
    emergency: EmergencyFacts


@dataclass(frozen=True, slots=True)
class RoundTimes:
    """One round's start and end, aware."""

    number: int  # counted from 1, as printed
    starts_at: datetime
    ends_at: datetime


@dataclass(frozen=True, slots=True)
class SessionFacts:
    """The session as printed. Times are aware, in the site's zone."""

    code: str
    title: str
    starts_at: datetime
    ends_at: datetime
    rounds: tuple[RoundTimes, ...]
    meeting_point: str
    bring: str
    purpose: str
    season: str = ""  # its season's code: session codes are only unique inside one


@dataclass(frozen=True, slots=True)
class RosterPerson:
    """A person as printed: the name that may be shown, and the roles they hold that day.

    `mail_to` is where their invite goes: their own address, or the guardian's
    or liaison's for young people; empty when there is none.
    """

    id: PersonId
    name: str
    is_young: bool
    roles: tuple[str, ...]  # "session lead", "crew lead", "first aider", "supervising adult", ...
    guardian_name: str = ""
    group_name: str = ""
    mail_to: str = ""
    mail_name: str = ""


@dataclass(frozen=True, slots=True)
class DayTask:
    """A task of the day: the roster's id and the whole planned task behind it."""

    id: TaskId
    units_planned: int
    task: PlannedTask


@dataclass(frozen=True, slots=True)
class PublishedRoster:
    """One session's roster with everything its papers and invites say.

    A draft can be printed to be looked at; `published_at` is then when it was made.
    `weather` is what the sheet typed for the day turns it into, None without one.
    `changed_since` tells what changed after publishing that people were not told.
    `system` is the site's: its papers hang in the shed, whoever prints them.
    """

    site: SiteFacts
    session: SessionFacts
    place: Place
    pockets: tuple[Pocket, ...]
    people: tuple[RosterPerson, ...]
    tasks: tuple[DayTask, ...]
    tools: tuple[ToolItem, ...]
    materials: tuple[MaterialItem, ...]
    roster: Roster
    version: int
    published_at: datetime
    is_draft: bool = False
    weather: WeatherVerdict | None = None
    changed_since: tuple[str, ...] = ()
    system: System = System.METRIC
