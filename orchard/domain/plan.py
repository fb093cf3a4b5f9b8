"""A remediation plan going in and the tasks it breaks into coming out.

Both are frozen values. `breakdown.break_down_plan` turns the first into the
second; the services keep the second in the database, keyed by plan and task key.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Literal

from orchard.domain.effort import Effort
from orchard.domain.place import Hardness, Outline, Place, Pocket, Point


@dataclass(frozen=True, slots=True)
class Parameter:
    """One number of a treatment, in the unit the treatment states for it."""

    name: str
    value: float


@dataclass(frozen=True, slots=True)
class PlannedTreatment:
    """One line of a plan: a treatment, the ground it is for, its numbers.

    `trees` are tags, `pockets` are codes; a treatment uses the one that fits it.
    `priority` is worth: 1 (nice to have) to 5 (the reason for the plan).
    """

    key: str
    treatment: str
    trees: tuple[str, ...] = ()
    pockets: tuple[str, ...] = ()
    parameters: tuple[Parameter, ...] = ()
    priority: int = 3


@dataclass(frozen=True, slots=True)
class AreaHardness:
    """The verdict on one area's ground, with the readings that support it."""

    area: str
    hardness: Hardness
    because: str


@dataclass(frozen=True, slots=True)
class OwnFigure:
    """A figure that a site has set in place of a default, and why: see `own_figures`."""

    key: str
    value: float
    reason: str


@dataclass(frozen=True, slots=True)
class SiteFacts:
    """What is known of the whole site that decides whether a treatment is refused.

    `earthworms`: whether earthworms are native there, as far as anyone asked.
    `worm_advice`: who advised locally to add worms, and when; empty for nobody.
    `inoculant_wanted`: the site asks for biofertiliser in spite of the evidence.
    `own`: the figures it has set in place of the defaults.
    """

    earthworms: Literal["unknown", "native", "not native"] = "unknown"
    worm_advice: str = ""
    inoculant_wanted: bool = False
    own: tuple[OwnFigure, ...] = ()


NOTHING_ASKED = SiteFacts()


@dataclass(frozen=True, slots=True)
class TreeGrowth:
    """How one tree grew, as last recorded: its middle shoot against its target."""

    tag: str
    on: date
    median_cm: float
    verdict: Literal["low", "on target", "high"]


class HoleOutcome(StrEnum):
    """What became of a hole that was to be bored."""

    REFUSED = "refused"
    MOVED = "moved"
    BORED = "bored"


@dataclass(frozen=True, slots=True)
class HoleFact:
    """What is on record of one hole, under its name in the layout it was laid out in.

    `planned` is where it was laid out; `moved_to` where it was bored instead.
    `assumed`: the day's record gave a number of holes, and this is one of the
    first so many in the task's order.
    """

    id: int
    pocket: str
    name: str
    outcome: HoleOutcome
    reason: str
    on: date
    planned: Point
    moved_to: Point | None = None
    assumed: bool = False

    @property
    def bored_at(self) -> Point | None:
        """Where there is a hole in the ground, or None where it was refused."""
        return None if self.outcome is HoleOutcome.REFUSED else self.moved_to or self.planned


@dataclass(frozen=True, slots=True)
class Plan:
    """A remediation plan with everything its breakdown needs to know."""

    key: str
    title: str
    place: Place
    pockets: tuple[Pocket, ...]
    treatments: tuple[PlannedTreatment, ...]
    hardness: tuple[AreaHardness, ...]
    facts: SiteFacts = NOTHING_ASKED
    growth: tuple[TreeGrowth, ...] = ()
    hole_facts: tuple[HoleFact, ...] = ()  # of all the site's pockets, earlier years too


@dataclass(frozen=True, slots=True)
class ToolItem:
    """A kind of tool in the store."""

    code: str
    name: str
    on_hand: int
    minimum_age: int
    powered: bool = False
    briefing: str = ""  # the skill that must be signed off before use, or ""
    inspected_on: date | None = None
    vibration_m_s2: float | None = None
    mass_kg: float | None = None


@dataclass(frozen=True, slots=True)
class MaterialItem:
    """A material as it is bought: loose density, price and bag.

    `price_cents_per_m3` is for loose delivery; `bag_litres` 0 means bulk only.
    """

    code: str
    name: str
    kg_per_m3: float
    price_cents_per_m3: int
    bag_litres: float = 0.0


@dataclass(frozen=True, slots=True)
class Store:
    """The tools on hand and the materials that can be had."""

    tools: tuple[ToolItem, ...]
    materials: tuple[MaterialItem, ...]


@dataclass(frozen=True, slots=True)
class SkillNeed:
    """At least `count` of a crew must hold this skill, in date."""

    skill: str
    count: int


@dataclass(frozen=True, slots=True)
class ToolNeed:
    """One crew at this task uses `count` of this tool."""

    tool: str
    count: int


@dataclass(frozen=True, slots=True)
class MaterialNeed:
    """Loose volume for the whole task, and the same in things a person can count."""

    material: str
    litres: float
    bags: int
    barrow_loads: int
    cost_cents: int


@dataclass(frozen=True, slots=True)
class After:
    """This task may start when `key` is finished: before the session, or during it.

    `lag_days` is how many days must lie between.
    """

    key: str
    same_session: bool
    lag_days: int = 0


@dataclass(frozen=True, slots=True)
class SeasonWindow:
    """First and last day of the year, both inclusive, as (month, day)."""

    first: tuple[int, int]
    last: tuple[int, int]

    def holds(self, on: date) -> bool:
        """Say whether the day lies in the window; a window may run over new year."""
        day = (on.month, on.day)
        if self.first <= self.last:
            return self.first <= day <= self.last
        return day >= self.first or day <= self.last


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard with its sign (shown as a drawn shape with this word) and what to do."""

    sign: Literal["stop", "lift", "eyes", "hands", "feet", "heat", "services", "dust"]
    text: str


@dataclass(frozen=True, slots=True)
class Hole:
    """One core hole: its number on the sheet and where it goes, in site metres.

    `name` is row and place in the row, counted from the first peg: "C7".
    """

    number: int
    at: Point
    name: str = ""


@dataclass(frozen=True, slots=True)
class PlannedTask:
    """A piece of work that one crew can do within one session.

    `units` counts whole units of `unit`; `effort` is per unit, adult pace.
    `value_per_unit` orders optional work: priority × mean minutes, an integer.
    `ground` holds the outlines to be worked on, for the drawing.
    `closes` names the task whose holes this one fills.
    """

    key: str
    treatment: str
    planned: str  # key of the plan's line this came from
    kind: str  # one of task_graph.WORKING_ORDER
    title: str
    where: str
    zone: str  # area code
    trees: tuple[str, ...]
    pocket: str
    units: int
    unit: str
    effort: Effort
    crew_least: int
    crew_most: int
    skills: tuple[SkillNeed, ...]
    tools: tuple[ToolNeed, ...]
    materials: tuple[MaterialNeed, ...]
    cost_cents: int
    minimum_age: int
    heavy: bool
    kneeling: bool
    opens_ground: bool
    windows: tuple[SeasonWindow, ...]
    after: tuple[After, ...]
    closes: str
    priority: int
    value_per_unit: int
    holes: tuple[Hole, ...]
    ground: tuple[Outline, ...]
    steps: tuple[str, ...]
    cautions: tuple[Caution, ...]
    lag_days: int = 0  # days after the work it follows
    digs: bool = False  # breaks the ground: locate and contamination gate apply, holes or none
    activity: str = ""  # the rate that most of the effort comes from: what its records teach


@dataclass(frozen=True, slots=True)
class TaskPlan:
    """All tasks of a plan, in working order, with what the breakdown noticed."""

    plan: str
    tasks: tuple[PlannedTask, ...]
    notes: tuple[str, ...]
