"""Names of the parts and figures of a rule set, as pages and sheets print them.

A figure without a line here is named by its field, so that nothing goes
unlisted. Not for values or units of measurement's arithmetic.
"""

from typing import Any

from scheduling.domain.rule_set import (
    EVERY_AGE,
    ByAge,
    HeatStep,
    RatioBand,
    ToolCell,
    ToolRow,
)

PARTS = {
    "supervision": "Supervision ratios",
    "company": "Who must be near whom",
    "tool_ages": "Tools by age",
    "loads": "Loads",
    "exposure": "Hand-arm vibration",
    "stretches": "Stretches and breaks",
    "check_validity": "Background checks",
    "heat": "Heat",
    "weather": "Cold, wind, thunder, sun and air",
    "facilities": "Toilets, water and room",
}

LABELS = {
    "per_adult": "young people to one adult",
    "plus_leaders": "adults added after the ratio",
    "least_adults": "fewest adults",
    "adult_from": "age from which an adult counts",
    "combining": "how a gathering of mixed ages is counted",
    "crew_combining": "how one crew of mixed ages is counted",
    "ends": "says nothing of older people",
    "largest_group": "largest group (0: no limit)",
    "needs_assessment": "a named person's risk assessment decides",
    "guardian_below_age": "age below which a child works with the guardian",
    "smallest_crew_with_young": "smallest crew with a young person in it",
    "smallest_class_part": "fewest pupils of a class in one crew",
    "adults_in_sight": "supervising adults in sight of any young person",
    "uncommitted_leads": "adults beside the ratio over all at work",
    "second_adult_unrelated": "the second adult is not related to the first",
    "first_aider_counts": "the only first aider counts as supervising",
    "people_per_first_aider": "people to one first aider",
    "watched_closely_per_adult": "young people one adult watches at arm's reach",
    "consent_months": "how long a consent counts",
    "watch": "how closely it is watched",
    "briefing": "a signed-off briefing is needed",
    "in_pairs": "in pairs",
    "most_kg": "heaviest load (0: no limit)",
    "carry_kg": "heaviest load carried",
    "barrow_gross_kg": "barrow and load",
    "barrow_kg": "the empty barrow",
    "lifting_index_most": "highest lifting index (NIOSH), adults",
    "plan_points": "vibration points a person is planned for in a day",
    "stop_points": "vibration points at which a person stops",
    "action_m_per_s2": "daily exposure action value A(8)",
    "limit_m_per_s2": "daily exposure limit value A(8)",
    "unknown_tool_m_per_s2": "vibration of a powered tool nobody measured",
    "youngest_age": "youngest age with a powered tool",
    "longest_stretch_min": "longest stretch without a break",
    "break_min_per_hour": "break in each hour",
    "heavy_rounds_in_a_row": "heavy rounds in a row",
    "heavy_rounds_in_all": "heavy rounds in a day",
    "kneeling_rounds_in_a_row": "kneeling rounds in a row",
    "kneeling_min_in_all": "kneeling in a day",
    "kneeling_rounds_if_limited": "kneeling rounds for those who asked for no long kneeling",
    "months": "how long a check counts from the day it was issued (0: no end)",
    "end_exclusive": "the day that many months later no longer counts",
    "declaration_after_months": "age of a check that also needs a declaration (0: none)",
    "declaration_months": "how long a declaration counts (0: none)",
    "training_months": "how long safeguarding training counts (0: none)",
    "moderate_unacclimatised": "moderate work, not used to heat",
    "light_unacclimatised": "light work, not used to heat",
    "children_wbgt": "children, by WBGT",
    "from_value": "from",
    "relief_min_per_hour": "relief in each hour (60: stop)",
    "sun_adds_humidex": "direct sun adds to the humidex",
    "sun_adds_heat_index_f": "direct sun adds to the heat index",
    "volunteers_unacclimatised": "volunteers count as not used to heat",
    "water_ml_every_20_min": "water every 20 minutes in heat",
    "young_stop_wind_chill_c": "wind chill at which young people stop",
    "frostbite_wind_chill_c": "wind chill with a risk of frostbite",
    "no_canopy_gust_km_per_h": "gust from which nobody works under canopies",
    "cancel_gust_km_per_h": "gust from which the day is called off",
    "wait_after_thunder_min": "wait after the last thunder",
    "uv_protect_from": "UV index from which skin is covered",
    "uv_shade_from": "UV index from which work moves to shade",
    "young_light_aqhi": "AQHI from which young people work lightly",
    "young_cancel_aqhi": "AQHI from which young people do not work",
    "amber_us_aqi": "US AQI from which there are more breaks",
    "cancel_us_aqi": "US AQI from which the day is called off",
    "people_per_toilet": "people to one toilet and one hand-wash",
    "toilet_within_m": "farthest walk to a toilet",
    "toilets_not_asked_up_to_min": "length of a day that asks for no toilet",
    "water_ml_per_person_hour": "water to have for each person in an hour",
    "water_most_ml_per_person_hour": "water nobody should drink more of in an hour",
    "capacity_people": "most people on the site (0: no limit)",
    "open_holes_per_crew": "open holes to one crew",
    "hand_tools_looked_over_days": "days since hand tools were looked over (0: no limit)",
    "powered_tools_looked_over_days": "days since powered tools were looked over (0: no limit)",
    "trees_looked_over_days": "days since the trees were looked over (0: no limit)",
    "before_sunset_min": "end of a session before sunset",
}

# The longest ending first: "_km_per_h" before "_h" would be.
UNITS = (
    ("_ml_per_person_hour", "mL"),
    ("_ml_every_20_min", "mL"),
    ("_min_per_hour", "min"),
    ("_km_per_h", "km/h"),
    ("_m_per_s2", "m/s²"),
    ("_within_m", "m"),
    ("_stretch_min", "min"),
    ("_min_in_all", "min"),
    ("_thunder_min", "min"),
    ("_up_to_min", "min"),
    ("_sunset_min", "min"),
    ("_over_days", "days"),
    ("_heat_index_f", "°F"),
    ("_wbgt", "°C"),
    ("_chill_c", "°C"),
    ("_kg", "kg"),
    ("months", "months"),
    ("_age", "years"),
    ("adult_from", "years"),
)


def name_part(part: str) -> str:
    """Return a part of a rule set by the name pages print."""
    return PARTS.get(part, part.replace("_", " ").capitalize())


def label_figure(name: str) -> str:
    """Return a figure's name in words, small letters first."""
    return LABELS.get(name, name.replace("_", " "))


def unit_of(path: tuple[str, ...]) -> str:
    """Return the unit of a figure by its path, or an empty text for a plain count.

    Args:
        path: Field names from the part inwards; the last may be the entry's
            own "figure", whose unit is its list's.
    """
    name = path[-1]
    if name == "figure":
        name = path[1]
    if name == "from_value":
        return "°C" if path[1] == "children_wbgt" else "humidex"
    return next((unit for ending, unit in UNITS if name.endswith(ending)), "")


def name_entry(entry: Any) -> str:
    """Return what one line of a table is for: "to 12 years", "wheelbarrow, from 14 years"."""
    match entry:
        case ByAge():
            return name_ages(entry.oldest)
        case RatioBand():
            until = name_ages(entry.oldest)
            return f"{entry.name}, {until}" if entry.name else until
        case ToolRow():
            return entry.name
        case ToolCell():
            return f"from {entry.youngest} years"
        case HeatStep():
            return f"step at {entry.from_value:g}"
        case _:
            return ""


def name_ages(oldest: int) -> str:
    """Return the ages of a band by its oldest: "to 12 years", "under 2 years", "older"."""
    if oldest >= EVERY_AGE:
        return "older"
    return f"to {oldest} years" if oldest > 1 else f"under {oldest + 1} years"
