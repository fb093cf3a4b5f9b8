"""The frozen input of a roster: who may come, what there is to do, by which figures.

Built by `queries.problems` from the database, or by tests by hand. Whole
numbers throughout: `points` are tenths of an adult working minute.
"""

from dataclasses import dataclass
from datetime import date

from orchard.domain.plan import SkillNeed, ToolItem, ToolNeed
from orchard.domain.task_names import name_task
from scheduling.domain.day_facts import DayFacts
from scheduling.domain.lifting import Lift
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import (
    ADULT_AGE,
    FIRST_AID_SKILL,
    GroupId,
    PersonId,
    Restriction,
    TaskId,
)
from scheduling.domain.policy import Policy


@dataclass(frozen=True, slots=True)
class SkillHeld:
    """A signed-off skill and the last day on which it holds."""

    skill: str
    last_day: date


@dataclass(frozen=True, slots=True)
class Consent:
    """A guardian's signature: which kinds of work it covers and until when.

    `kinds` empty means every kind the form lists.
    """

    version: str
    first_day: date
    last_day: date
    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Person:
    """One person of a roster: a volunteer, a guardian's child, a pupil, a member of staff.

    `name` is what may be printed: first name and initial for adults, first name
    alone for young people, a number within the class for pupils. `age` is the
    youngest they can be on the day. `checked` says that a background check is
    in date; whether they count as supervising is a rule's business. `past` is what
    they have had so far this season, None when nobody looked.
    """

    id: PersonId
    name: str
    age: int
    present: tuple[bool, ...]  # one per round
    checked: bool = False
    skills: tuple[SkillHeld, ...] = ()
    restrictions: tuple[Restriction, ...] = ()
    guardian: PersonId | None = None
    group: GroupId | None = None
    staff_of: GroupId | None = None
    consents: tuple[Consent, ...] = ()
    experience: int = 0  # 0 new, 1 came before, 2 old hand
    preferences: tuple[tuple[str, int], ...] = ()  # task kind, -2 to 2
    wished_skills: tuple[str, ...] = ()  # they would learn
    heavy_liking: int = 0  # 1 rather heavy work, -1 rather light
    companions: tuple[PersonId, ...] = ()  # with whom they would be in a crew
    past: PastShare | None = None

    @property
    def is_young(self) -> bool:
        """Whether the person is under 18 on the day."""
        return self.age < ADULT_AGE

    def holds(self, skill: str, on: date) -> bool:
        """Say whether a skill is held and in date; the last day counts."""
        return any(held.skill == skill and on <= held.last_day for held in self.skills)


@dataclass(frozen=True, slots=True)
class Group:
    """A school class: one block with its own staff."""

    id: GroupId
    name: str


@dataclass(frozen=True, slots=True)
class After:
    """Work on the same ground that must be finished first: `units` of it are still open.

    `title` tells it apart from other work of the same title.
    """

    task: TaskId
    title: str
    units: int


@dataclass(frozen=True, slots=True)
class HandLift:
    """A load lifted by hand at a task, in kilograms and centimetres.

    `work` is the manner of it, in the words of `lifting.NOT_FOR_WORK` where the
    lifting equation does not apply.
    """

    load_kg: float
    lift: Lift
    work: str = ""


@dataclass(frozen=True, slots=True)
class CrewTask:
    """One task offered to crews in the session.

    `load_kg_per_litre` is the loose density of the heaviest material moved by
    barrow or bucket, 0 where nothing is. `at_height` is work from a ladder or
    steps. `opens_ground` leaves holes to be filled; `digs` breaks the ground and
    leaves none. `time` is which time the plan does this work, counted from 1, and 0
    where it does it once.
    """

    id: TaskId
    key: str
    title: str
    kind: str
    zone: str
    required: bool
    units: int
    unit: str
    points_per_unit: int
    value_per_unit: int
    crew_least: int
    crew_most: int
    skills: tuple[SkillNeed, ...] = ()
    tools: tuple[ToolNeed, ...] = ()
    minimum_age: int = 0
    heavy: bool = False
    kneeling: bool = False
    powered_min_per_round: int = 0
    opens_ground: bool = False
    digs: bool = False
    closes: TaskId | None = None
    after: tuple[After, ...] = ()
    load_kg_per_litre: float = 0.0
    at_height: bool = False
    lifts: tuple[HandLift, ...] = ()
    time: int = 0

    @property
    def name(self) -> str:
        """The title as sentences say it, told apart from other work of the same title."""
        return name_task(self.title, self.time)

    @property
    def breaks_ground(self) -> bool:
        """Whether a spade, fork or auger goes into the ground: buried things may be met."""
        return self.opens_ground or self.digs


@dataclass(frozen=True, slots=True)
class Locate:
    """Buried services marked out: the number, the days it holds, the areas it covers.

    `marked` is False while it is only asked for: no marks are on record yet.
    """

    number: str
    first_day: date
    last_day: date
    areas: tuple[str, ...]
    marked: bool = True


@dataclass(frozen=True, slots=True)
class Weights:
    """How the last stage of the objective weighs comfort."""

    preference: int = 1
    unpaired_novice: int = 2
    most_heavy_rounds: int = 6


Fixed = tuple[PersonId, int, TaskId | None]  # person, round, task they must have


@dataclass(frozen=True, slots=True)
class RosterProblem:
    """Everything a roster is made from.

    An adult's minute is ten points; `pace_percent` scales them by age band
    (under 12, 12 to 15, 16 to 17, adult). Where `points_by_band_per_round` is
    given, as in a problem document, it is each band's points in a round as it
    stands, and neither minutes nor pace count. `published` holds what people
    were already told, `locks` what the coordinator has fixed. `facts`
    is what is known of the day itself; None when nobody said anything yet.
    `older_consent_versions` are those whose consents the form in use lets stand.
    """

    name: str
    on: date
    rounds: int
    round_minutes: int
    people: tuple[Person, ...]
    groups: tuple[Group, ...]
    tasks: tuple[CrewTask, ...]
    tools: tuple[ToolItem, ...]
    locates: tuple[Locate, ...]
    policy: Policy
    consent_version: str
    lead_skill: str = "lead"
    first_aid_skill: str = FIRST_AID_SKILL
    pace_percent: tuple[int, int, int, int] = (40, 55, 70, 100)
    points_by_band_per_round: tuple[int, int, int, int] | None = None
    weights: Weights = Weights()
    published: tuple[Fixed, ...] = ()
    locks: tuple[Fixed, ...] = ()
    facts: DayFacts | None = None
    older_consent_versions: tuple[str, ...] = ()
