"""Wind chill, metric and US. Not for what a cold day turns into: `weather.py`."""

MILDEST_C = 10.0  # above this wind chill says nothing
LEAST_WIND_KMH = 5.0


def wind_chill_c(temperature_c: float, wind_kmh: float) -> float:
    """Return the wind chill index.

    Args:
        temperature_c: Air temperature.
        wind_kmh: Wind at 10 m, as forecasts give it.

    Returns:
        The index, not rounded; the temperature itself above 10 °C or in wind
        under 5 km/h, where the index is not defined.

    Source:
        Environment Canada, wind chill chart and formula. The chart prints -30
        for -20 °C at 20 km/h and -6 for 0 °C at 30 km/h; a well-copied web
        table has -31 and -7, which the formula does not give.
    """
    if temperature_c > MILDEST_C or wind_kmh < LEAST_WIND_KMH:
        return temperature_c
    power: float = wind_kmh**0.16
    return 13.12 + 0.6215 * temperature_c - 11.37 * power + 0.3965 * temperature_c * power


def wind_chill_f(temperature_f: float, wind_mph: float) -> float:
    """Return the US wind chill of a Fahrenheit temperature and a wind in miles an hour.

    Source:
        US National Weather Service wind chill (2001), for 50 °F and below and
        3 mph and above; elsewhere the temperature itself.
    """
    if temperature_f > 50 or wind_mph < 3:
        return temperature_f
    power: float = wind_mph**0.16
    return 35.74 + 0.6215 * temperature_f - 35.75 * power + 0.4275 * temperature_f * power
