"""UV, lightning and air quality: published bands and waits.

One answer per reading; where a site draws its own line is a rule set's figure. Not
for what the day turns into: `weather.py`.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

UV_SOURCE = "Environment and Climate Change Canada, UV index, how to use"
LIGHTNING_SOURCE = "University of Nebraska and NOAA, 30-30 rule; US National Weather Service"
AQHI_SOURCE = "Government of Canada, Air Quality Health Index table (reprint)"
AQI_SOURCE = "US EPA and CDC, Air quality and outdoor activity guidance for schools (reprint)"
FLASH_TO_BANG_S = 30
WAIT_MIN = 30


def uv_band(uv_index: float) -> str:
    """Return the band of a UV index, read as a whole number.

    Source:
        Environment and Climate Change Canada: 0 to 2 low, 3 to 5 moderate, 6 and
        7 high, 8 to 10 very high, 11 and more extreme.
    """
    whole = int(uv_index + 0.5)
    for least, word in ((11, "extreme"), (8, "very high"), (6, "high"), (3, "moderate")):
        if whole >= least:
            return word
    return "low"


def is_too_near(flash_to_bang_s: float) -> bool:
    """Say whether a flash was near enough to take shelter by the count of seconds.

    Hearing any thunder at all is enough to go without counting.

    Source:
        NOAA 30-30: 30 seconds or less, about 10 km.
    """
    return flash_to_bang_s <= FLASH_TO_BANG_S


def earliest_restart(thunder: Iterable[datetime], wait_min: int = WAIT_MIN) -> datetime | None:
    """Return when work may begin again after the last thunder, None without any.

    Args:
        thunder: When it was heard, in any order.
        wait_min: Minutes to wait after the last.

    Source:
        NOAA 30-30: 30 minutes.
    """
    heard = list(thunder)
    return max(heard) + timedelta(minutes=wait_min) if heard else None


def aqhi_risk(aqhi: float) -> str:
    """Return "low", "moderate", "high" or "very high" for the Canadian air quality index.

    Source:
        Government of Canada: 1 to 3, 4 to 6, 7 to 10, above 10.
    """
    whole = int(aqhi + 0.5)
    for least, word in ((11, "very high"), (7, "high"), (4, "moderate")):
        if whole >= least:
            return word
    return "low"


def aqi_action(us_aqi: float) -> str:
    """Return "go", "amber" (breaks), "shorten" or "cancel" for the US air quality index.

    Source:
        US EPA and CDC, guidance for schools: 101 to 150 fine for short activity
        with more breaks; 151 to 200 shorten; 201 and more move or reschedule.
    """
    for above, word in ((200, "cancel"), (150, "shorten"), (100, "amber")):
        if us_aqi > above:
            return word
    return "go"
