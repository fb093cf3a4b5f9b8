"""A rule set: published or proposed figures, dated, with their sources, as one frozen value.

A site adopts one or several; `policy.build_policy` takes the strictest of each
figure. Not here: judging (`rules`), arithmetic (`supervision`), merging
(`policy`), JSON (`rule_set_codec`), the figures themselves (`rule_sets`).

A part that is None says nothing. Which of two figures is the stricter stands
in each field's metadata: "lower", "higher", or "lower, 0 is none".
"""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

LOWER = {"stricter": "lower"}
HIGHER = {"stricter": "higher"}
LOWER_0_IS_NONE = {"stricter": "lower, 0 is none"}

NO_NUMBER = 0  # a ratio a table leaves open
EVERY_AGE = 150  # the oldest of a band that has no end


@dataclass(frozen=True, slots=True)
class FigureSource:
    """Where one figure of a part comes from, when not from the set's own source."""

    figure: str  # the field's name
    source: str
    status: str  # "published", "reprint", "from memory", "common practice", "proposed"
    checked_on: date


@dataclass(frozen=True, slots=True)
class ByAge:
    """One figure for people up to and including `oldest` years."""

    oldest: int
    figure: int


# --- supervision ----------------------------------------------------------


class Combining(StrEnum):
    """How a group of mixed ages is turned into a number of adults."""

    SUM = "sum"
    YOUNGEST = "youngest"
    SECTIONS = "sections"

    @property
    def words(self) -> str:
        """The method in a few words, as the arithmetic prints it."""
        return {
            Combining.SUM: "sum of fractions, rounded up once",
            Combining.YOUNGEST: "the youngest one's ratio governs all",
            Combining.SECTIONS: "each section its own ratio, rounded up on its own",
        }[self]


@dataclass(frozen=True, slots=True)
class RatioBand:
    """Up to and including `oldest` years, one supervising adult per `per_adult`.

    `per_adult` 0 means that the table names no number. `plus_leaders` are added
    when anyone of the band is there, `least_adults` is then the floor.
    """

    oldest: int
    per_adult: int
    name: str = ""
    plus_leaders: int = 0
    least_adults: int = 0


@dataclass(frozen=True, slots=True)
class SupervisionTable:
    """A published table of supervision ratios.

    `bands` ascend by age; below the first the first holds. The last covers
    everyone under `adult_from`, unless the table `ends` with it and says
    nothing of older people. `least_adults` is the floor wherever young people
    are, `plus_leaders` are added after the ratio. `combining` is the way a
    whole gathering is counted, `crew_combining` a single crew; None means the
    same way. `largest_group` 0 means no cap. A table that `needs_assessment`
    prints no number: a named person answers for it on a date.
    """

    name: str
    bands: tuple[RatioBand, ...]
    least_adults: int
    adult_from: int
    source: str
    status: str  # "published", "reprint", "proposed", "from memory", "withdrawn"
    checked_on: date
    code: str = ""
    combining: Combining = Combining.SUM
    crew_combining: Combining | None = None
    plus_leaders: int = 0
    ends: bool = False
    place: str = "outdoors, away from the usual meeting place"
    largest_group: int = 0
    needs_assessment: bool = False
    assessed_by: str = ""
    assessed_on: date | None = None
    notes: tuple[str, ...] = ()

    def band_of(self, age: int) -> RatioBand | None:
        """Return the band of an age in years, or None where the table says nothing."""
        for band in self.bands:
            if age <= band.oldest:
                return band
        return None if self.ends or not self.bands else self.bands[-1]

    def per_adult(self, age: int) -> int:
        """Return how many young people of this age one adult may supervise; 0 for no number."""
        band = self.band_of(age)
        return NO_NUMBER if band is None else band.per_adult


@dataclass(frozen=True, slots=True)
class Company:
    """Who must be near whom, and in what numbers, beside the ratios."""

    guardian_below_age: int = field(metadata=HIGHER)
    smallest_crew_with_young: int = field(metadata=HIGHER)
    smallest_class_part: int = field(metadata=HIGHER)
    adults_in_sight: int = field(metadata=HIGHER)
    uncommitted_leads: int = field(metadata=HIGHER)  # beside the ratio, over all at work
    second_adult_unrelated: bool = field(metadata=HIGHER)
    first_aider_counts: bool = field(metadata=LOWER)  # the only first aider as supervising
    people_per_first_aider: int = field(metadata=LOWER)
    watched_closely_per_adult: int = field(metadata=LOWER)  # cells marked C
    consent_months: int = field(metadata=LOWER)
    sources: tuple[FigureSource, ...] = ()


# --- tools by age ---------------------------------------------------------


class Watch(StrEnum):
    """How closely someone of an age is watched with a tool; N is never lifted."""

    NOT_ALLOWED = "N"
    CONSTANT = "C"  # at arm's reach, by a named adult
    IN_SIGHT = "S"  # in a crew, in line of sight
    OPEN = "OK"  # after the morning's briefing

    @property
    def rank(self) -> int:
        """0 for open, 3 for not allowed: the higher is the stricter."""
        return (Watch.OPEN, Watch.IN_SIGHT, Watch.CONSTANT, Watch.NOT_ALLOWED).index(self)


@dataclass(frozen=True, slots=True)
class ToolCell:
    """What holds for one tool from `youngest` years until the next cell's."""

    youngest: int
    watch: Watch
    briefing: bool = False  # T: a recorded briefing, signed off and in date
    in_pairs: bool = False
    most_kg: int = 0  # of the load, or of barrow and load; 0 is none
    note: str = ""


@dataclass(frozen=True, slots=True)
class ToolRow:
    """One line of the matrix: the store's tools and the kinds of task it speaks of.

    `cells` ascend by `youngest`, the first is for 0 years.
    """

    code: str
    name: str
    tools: tuple[str, ...]
    kinds: tuple[str, ...]
    cells: tuple[ToolCell, ...]
    powered: bool = False

    def cell(self, age: int) -> ToolCell:
        """Return what holds at an age in completed years."""
        return [cell for cell in self.cells if cell.youngest <= age][-1]

    @property
    def youngest_allowed(self) -> int:
        """The youngest age in years that is not refused."""
        allowed = [cell.youngest for cell in self.cells if cell.watch is not Watch.NOT_ALLOWED]
        return min(allowed, default=EVERY_AGE)


@dataclass(frozen=True, slots=True)
class ToolAges:
    """The matrix of tools by age. A guardian's consent never lifts an N."""

    rows: tuple[ToolRow, ...]
    powered: ToolRow  # for every powered tool without a row of its own
    powered_zone: ToolRow  # being near a powered tool at work
    sources: tuple[FigureSource, ...] = ()

    def of_tool(self, tool: str, *, powered: bool = False) -> tuple[ToolRow, ...]:
        """Return the rows that speak of a tool of the store, by its code."""
        named = tuple(row for row in self.rows if tool in row.tools)
        return named or ((self.powered,) if powered else ())

    def of_kind(self, kind: str) -> tuple[ToolRow, ...]:
        """Return the rows that speak of a kind of task."""
        return tuple(row for row in self.rows if kind in row.kinds)


# --- loads, exposure, rhythm ----------------------------------------------


@dataclass(frozen=True, slots=True)
class LoadCaps:
    """What a person carries, and what a barrow weighs with its load."""

    carry_kg: tuple[ByAge, ...] = field(metadata=LOWER)
    barrow_gross_kg: tuple[ByAge, ...] = field(metadata=LOWER)  # barrow and load
    barrow_kg: int = field(metadata=HIGHER)  # the empty barrow
    lifting_index_most: float = field(metadata=LOWER)  # NIOSH 94-110; adults only
    sources: tuple[FigureSource, ...] = ()


@dataclass(frozen=True, slots=True)
class ExposureLimits:
    """Hand-arm vibration: points are 2 · a² · hours, a in m/s²; 100 is the action value."""

    plan_points: int = field(metadata=LOWER)
    stop_points: int = field(metadata=LOWER)
    action_m_per_s2: float = field(metadata=LOWER)  # A(8)
    limit_m_per_s2: float = field(metadata=LOWER)  # A(8)
    unknown_tool_m_per_s2: float = field(metadata=HIGHER)
    youngest_age: int = field(metadata=HIGHER)  # nobody younger is exposed at all
    sources: tuple[FigureSource, ...] = ()


@dataclass(frozen=True, slots=True)
class Stretches:
    """How long at a stretch, and how many hard rounds."""

    longest_stretch_min: tuple[ByAge, ...] = field(metadata=LOWER)
    break_min_per_hour: tuple[ByAge, ...] = field(metadata=HIGHER)
    heavy_rounds_in_a_row: int = field(metadata=LOWER)
    heavy_rounds_in_all: int = field(metadata=LOWER)
    kneeling_rounds_in_a_row: int = field(metadata=LOWER)
    kneeling_min_in_all: int = field(metadata=LOWER)
    kneeling_rounds_if_limited: int = field(metadata=LOWER)  # who asked for no long kneeling
    sources: tuple[FigureSource, ...] = ()


@dataclass(frozen=True, slots=True)
class CheckValidity:
    """How long a background check counts, from the day it was issued.

    With `end_exclusive` the day exactly `months` later no longer counts. A
    check older than `declaration_after_months` also needs a declaration not
    older than `declaration_months`; training is counted in the same way. 0 is none.
    """

    months: int = field(metadata=LOWER_0_IS_NONE)
    end_exclusive: bool = field(metadata=HIGHER)
    declaration_after_months: int = field(default=0, metadata=LOWER_0_IS_NONE)
    declaration_months: int = field(default=0, metadata=LOWER_0_IS_NONE)
    training_months: int = field(default=0, metadata=LOWER_0_IS_NONE)
    sources: tuple[FigureSource, ...] = ()


# --- weather --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class HeatStep:
    """What holds from a value on: relief in each hour, and what to watch.

    `relief_min_per_hour` 60 means that work stops.
    """

    from_value: float
    relief_min_per_hour: int
    text: str


@dataclass(frozen=True, slots=True)
class HeatPlan:
    """Rest and water by humidex (°C), and by WBGT (°C) where children are."""

    moderate_unacclimatised: tuple[HeatStep, ...]  # also heavy work, acclimatised
    light_unacclimatised: tuple[HeatStep, ...]  # also moderate work, acclimatised
    children_wbgt: tuple[HeatStep, ...]
    sun_adds_humidex: int = field(metadata=HIGHER)
    sun_adds_heat_index_f: int = field(metadata=HIGHER)
    volunteers_unacclimatised: bool = field(metadata=HIGHER)
    water_ml_every_20_min: int = field(metadata=HIGHER)
    sources: tuple[FigureSource, ...] = ()


@dataclass(frozen=True, slots=True)
class WeatherLimits:
    """Cold, wind, thunder, sun and air: from which value on the day changes."""

    young_stop_wind_chill_c: int = field(metadata=HIGHER)  # at or below
    frostbite_wind_chill_c: int = field(metadata=HIGHER)
    no_canopy_gust_km_per_h: int = field(metadata=LOWER)  # at or above
    cancel_gust_km_per_h: int = field(metadata=LOWER)
    wait_after_thunder_min: int = field(metadata=HIGHER)
    uv_protect_from: int = field(metadata=LOWER)
    uv_shade_from: int = field(metadata=LOWER)
    young_light_aqhi: int = field(metadata=LOWER)
    young_cancel_aqhi: int = field(metadata=LOWER)
    amber_us_aqi: int = field(metadata=LOWER)
    cancel_us_aqi: int = field(metadata=LOWER)
    sources: tuple[FigureSource, ...] = ()


@dataclass(frozen=True, slots=True)
class Facilities:
    """Toilets, water, room, light and looked-over things for the head count."""

    people_per_toilet: int = field(metadata=LOWER)
    toilet_within_m: int = field(metadata=LOWER)
    toilets_not_asked_up_to_min: int = field(metadata=LOWER)
    water_ml_per_person_hour: int = field(metadata=HIGHER)
    water_most_ml_per_person_hour: int = field(metadata=LOWER)
    capacity_people: int = field(metadata=LOWER_0_IS_NONE)
    open_holes_per_crew: int = field(metadata=LOWER)
    hand_tools_looked_over_days: int = field(default=0, metadata=LOWER_0_IS_NONE)
    powered_tools_looked_over_days: int = field(default=0, metadata=LOWER_0_IS_NONE)
    trees_looked_over_days: int = field(default=0, metadata=LOWER_0_IS_NONE)
    before_sunset_min: int = field(default=0, metadata=HIGHER)
    sources: tuple[FigureSource, ...] = ()


# --- the set --------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One named, dated, versioned set of figures.

    `confirmed_by` is who last held the figures against the source, empty until
    somebody has; `withdrawn` guidance may be adopted, and is said to be so.
    """

    code: str  # letters, digits and hyphens, never reused: "NSPCC-2023"
    version: int
    title: str
    source: str
    status: str
    checked_on: date
    confirmed_by: str = ""
    summary: str = ""
    supervision: SupervisionTable | None = None
    company: Company | None = None
    tool_ages: ToolAges | None = None
    loads: LoadCaps | None = None
    exposure: ExposureLimits | None = None
    stretches: Stretches | None = None
    check_validity: CheckValidity | None = None
    heat: HeatPlan | None = None
    weather: WeatherLimits | None = None
    facilities: Facilities | None = None
