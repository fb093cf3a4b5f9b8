"""What is known of a day besides its people and its tasks.

Read by the rules of weather, ground, tools and site. None always means that
nobody said: unknown, never fine. Not here: what any of it turns the day into
(`weather.py` and the rules).
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from orchard.domain.errors import RosterError

WARMEST_C, COLDEST_C = 60.0, -60.0


class Soil(StrEnum):
    """Whether the ground may be worked, by hand: a squeezed handful or a rolled thread."""

    GO = "go"  # a squeezed ball crumbles; a 3 mm thread breaks
    WAIT = "wait"  # a squeezed ball only dents under the thumb
    BLOCK = "block"  # water drips, a 3 mm thread holds, or the ground is dust
    UNKNOWN = "unknown"


class Shelter(StrEnum):
    """Where people go in a thunderstorm; only the first two count."""

    BUILDING = "building"
    HARD_TOP_VEHICLE = "hard-top vehicle"
    NONE = "none"
    UNKNOWN = "unknown"

    @property
    def counts_in_thunder(self) -> bool:
        """Whether people are safe from lightning in it; canopies and open shelters are not."""
        return self in (Shelter.BUILDING, Shelter.HARD_TOP_VEHICLE)


@dataclass(frozen=True, slots=True)
class Forecast:
    """The weather expected at the worst hour of a session.

    Moisture is a dew point or a relative humidity; either is enough. Air is the
    Canadian index (`aqhi`) or the US one (`us_aqi`); either is enough.
    """

    temperature_c: float | None = None
    dew_point_c: float | None = None
    humidity_percent: float | None = None
    wind_kmh: float | None = None  # at 10 m, as forecasts give it
    gust_kmh: float | None = None
    sun: bool | None = None  # work in direct sun
    uv_index: float | None = None
    aqhi: float | None = None
    us_aqi: float | None = None
    thunder: bool | None = None  # expected during the session

    def __post_init__(self) -> None:
        within = (
            ("temperature", self.temperature_c, COLDEST_C, WARMEST_C, "°C"),
            ("dew point", self.dew_point_c, COLDEST_C, WARMEST_C, "°C"),
            ("humidity", self.humidity_percent, 0, 100, "%"),
            ("wind", self.wind_kmh, 0, 300, "km/h"),
            ("gust", self.gust_kmh, 0, 400, "km/h"),
            ("UV index", self.uv_index, 0, 25, ""),
            ("AQHI", self.aqhi, 0, 100, ""),
            ("AQI", self.us_aqi, 0, 1000, ""),
        )
        for name, value, least, most, unit in within:
            if value is not None and not least <= value <= most:
                raise RosterError(
                    f"A {name} of {value:g} {unit}".rstrip()
                    + f" is outside {least:g} to {most:g}; check what was typed."
                )
        if (
            self.temperature_c is not None
            and self.dew_point_c is not None
            and self.dew_point_c > self.temperature_c
        ):
            raise RosterError(
                f"A dew point of {self.dew_point_c:g} °C above the temperature of "
                f"{self.temperature_c:g} °C cannot be; check what was typed."
            )


@dataclass(frozen=True, slots=True)
class ToolFacts:
    """What is known of a kind of tool, by the store's code.

    `vibration_m_s2` is the in-use magnitude to reckon with; `mass_kg` the empty
    weight, asked for barrows alone.
    """

    tool: str
    inspected_on: date | None = None
    vibration_m_s2: float | None = None
    mass_kg: float | None = None


@dataclass(frozen=True, slots=True)
class ZoneFacts:
    """What is known of an area's ground and of the trees over it.

    `was_building`: the footprint of a building stood or may have stood there.
    `soil_test_clear` is None without a test, False for one that is not clear.
    `trees_inspected_on` is the oldest inspection among its trees.
    """

    zone: str
    soil: Soil = Soil.UNKNOWN
    frozen: bool | None = None
    was_building: bool | None = None
    past_use_recorded: bool = False
    soil_test_on: date | None = None
    soil_test_clear: bool | None = None
    under_trees: bool | None = None
    trees_inspected_on: date | None = None


@dataclass(frozen=True, slots=True)
class DayFacts:
    """What is known of the day: weather, light, what the site has, tools and ground.

    All times are aware. `capacity` is the most people the site takes at once.
    `travel_minutes` count with the session when toilets are reckoned.
    """

    forecast: Forecast | None = None
    starts_at: datetime | None = None
    ends_at: datetime | None = None
    sunrise: datetime | None = None
    sunset: datetime | None = None
    break_minutes: int | None = None
    travel_minutes: int = 0
    toilets: int | None = None
    hand_washes: int | None = None
    water_litres: float | None = None
    shelter: Shelter = Shelter.UNKNOWN
    capacity: int | None = None
    last_thunder_at: datetime | None = None
    tools: tuple[ToolFacts, ...] = ()
    zones: tuple[ZoneFacts, ...] = ()

    def find_zone(self, zone: str) -> ZoneFacts | None:
        """Return what is known of an area, or None when nothing is."""
        return next((facts for facts in self.zones if facts.zone == zone), None)

    def find_tool(self, tool: str) -> ToolFacts | None:
        """Return what is known of a tool, or None when nothing is."""
        return next((facts for facts in self.tools if facts.tool == tool), None)
