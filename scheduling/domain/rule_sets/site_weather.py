"""Heat plan and weather limits of the site's own set: from published plans, to be reviewed."""

from datetime import date

from scheduling.domain.rule_set import FigureSource, HeatPlan, HeatStep, WeatherLimits

CHECKED_ON = date(2026, 11, 25)
OHCOW = "OHCOW, Humidex Based Heat Response Plan"


def _from(figure: str, source: str, status: str) -> FigureSource:
    return FigureSource(figure, source, status, CHECKED_ON)


HEAT = HeatPlan(
    moderate_unacclimatised=(
        HeatStep(25, 0, "Water as needed."),
        HeatStep(30, 0, "Alert: drink more, look at each other, note the humidex each hour."),
        HeatStep(34, 0, "Warning: somebody trained watches for symptoms."),
        HeatStep(38, 15, "15 minutes of relief in each hour, 240 mL of water every 20 minutes."),
        HeatStep(40, 30, "30 minutes of relief in each hour, 240 mL of water every 20 minutes."),
        HeatStep(42, 45, "45 minutes of relief in each hour, or stop."),
        HeatStep(45, 60, "Stop."),
    ),
    light_unacclimatised=(
        HeatStep(32, 0, "Water as needed."),
        HeatStep(36, 0, "Alert: drink more, look at each other, note the humidex each hour."),
        HeatStep(40, 0, "Warning: somebody trained watches for symptoms."),
        HeatStep(43, 15, "15 minutes of relief in each hour, 240 mL of water every 20 minutes."),
        HeatStep(45, 30, "30 minutes of relief in each hour, 240 mL of water every 20 minutes."),
        HeatStep(47, 45, "45 minutes of relief in each hour, or stop."),
        HeatStep(50, 60, "Stop."),
    ),
    children_wbgt=(
        HeatStep(24.0, 15, "Longer rests in the shade, drink every 15 minutes."),
        HeatStep(26.0, 30, "Those not used to heat or at higher risk stop; others do less."),
        HeatStep(29.1, 60, "No activity."),
    ),
    sun_adds_humidex=4,
    sun_adds_heat_index_f=15,
    volunteers_unacclimatised=True,
    water_ml_every_20_min=240,
    sources=(
        _from(
            "moderate_unacclimatised",
            f"{OHCOW}, reprint of an older edition, with the later edition's stricter step at 42",
            "reprint",
        ),
        _from("light_unacclimatised", f"{OHCOW}, 2007 edition", "from memory"),
        _from(
            "children_wbgt",
            "American Academy of Pediatrics, Committee on Sports Medicine and Fitness, 2000, kept "
            "as a cautious schedule; minutes of rest for its amber and red: proposed",
            "published",
        ),
        _from("sun_adds_humidex", "OHCOW, worked example with direct sun", "published"),
        _from("sun_adds_heat_index_f", "US National Weather Service, chart notes", "reprint"),
        _from("water_ml_every_20_min", OHCOW, "reprint"),
        _from(
            "volunteers_unacclimatised",
            "Common practice: occasional helpers lack the days it takes to get used to heat",
            "proposed",
        ),
    ),
)

WEATHER = WeatherLimits(
    young_stop_wind_chill_c=-20,
    frostbite_wind_chill_c=-27,
    no_canopy_gust_km_per_h=50,
    cancel_gust_km_per_h=62,
    wait_after_thunder_min=30,
    uv_protect_from=3,
    uv_shade_from=8,
    young_light_aqhi=7,
    young_cancel_aqhi=11,
    amber_us_aqi=101,
    cancel_us_aqi=201,
    sources=(
        _from("young_stop_wind_chill_c", "Proposed", "proposed"),
        _from("frostbite_wind_chill_c", "Environment Canada, wind chill hazards", "published"),
        _from(
            "no_canopy_gust_km_per_h",
            "One consultant's advice for trees on public ground (branches break from about "
            "50 km/h); proposed",
            "proposed",
        ),
        _from("cancel_gust_km_per_h", "Some grounds close near Beaufort 7; proposed", "proposed"),
        _from(
            "wait_after_thunder_min",
            "NOAA and University of Nebraska, 30-30 lightning rule: 30 minutes after the last "
            "thunder",
            "published",
        ),
        _from("uv_protect_from", "ECCC, UV index: how to use it", "published"),
        _from("uv_shade_from", "ECCC, UV index: how to use it (very high)", "published"),
        _from("young_light_aqhi", "Government of Canada, AQHI table", "reprint"),
        _from("young_cancel_aqhi", "Government of Canada, AQHI table", "reprint"),
        _from(
            "amber_us_aqi",
            "EPA and CDC, Air quality and outdoor activity guidance for schools",
            "reprint",
        ),
        _from(
            "cancel_us_aqi",
            "EPA and CDC, Air quality and outdoor activity guidance for schools",
            "reprint",
        ),
    ),
)
