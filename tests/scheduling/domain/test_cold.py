"""Wind chill against the charts of Environment Canada and the US weather service."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.cold import wind_chill_c, wind_chill_f


# Environment Canada's chart, archive of 2006. A copied table has -31 and -7 for
# the third and the last.
@pytest.mark.parametrize(
    ("temperature", "wind", "chill"),
    [(-10, 20, -18), (-20, 30, -33), (-20, 20, -30), (-25, 20, -37), (0, 30, -6)],
)
def test_the_canadian_chart(temperature: float, wind: float, chill: int) -> None:
    assert round(wind_chill_c(temperature, wind)) == chill


@pytest.mark.parametrize(
    ("temperature", "wind", "chill"), [(0, 15, -19), (40, 5, 36), (30, 10, 21)]
)
def test_the_us_table(temperature: float, wind: float, chill: int) -> None:
    assert round(wind_chill_f(temperature, wind)) == chill


@pytest.mark.parametrize(("temperature", "wind"), [(10.1, 40), (-5, 4.9), (25, 0)])
def test_where_it_is_not_defined_the_temperature_stands(temperature: float, wind: float) -> None:
    assert wind_chill_c(temperature, wind) == temperature


@given(st.floats(-50, 10), st.floats(5, 100), st.floats(0, 40))
def test_more_wind_is_never_warmer(temperature: float, wind: float, more: float) -> None:
    assert wind_chill_c(temperature, wind + more) <= wind_chill_c(temperature, wind) + 1e-9
