"""Ages from month and year of birth, and bands at their edges."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.people import Band, age_on, band_of


@pytest.mark.parametrize(
    ("year", "month", "on", "age"),
    [
        # Born on any day of the month: counted from its last, so never too old.
        (2015, 4, date(2027, 4, 1), 11),
        (2015, 4, date(2027, 4, 29), 11),
        (2015, 4, date(2027, 4, 30), 12),
        (2015, 4, date(2027, 5, 1), 12),
        # Born in February of a leap year: reached on 1 March in common years.
        (2012, 2, date(2027, 2, 28), 14),
        (2012, 2, date(2027, 3, 1), 15),
        (2012, 2, date(2028, 2, 28), 15),
        (2012, 2, date(2028, 2, 29), 16),
        (2013, 2, date(2027, 2, 28), 14),
        (2027, 6, date(2027, 4, 17), 0),
    ],
)
def test_age_is_the_youngest_it_can_be(year: int, month: int, on: date, age: int) -> None:
    assert age_on(year, month, on) == age


@given(
    born=st.dates(date(1930, 1, 1), date(2026, 12, 31)),
    on=st.dates(date(2027, 1, 1), date(2030, 12, 31)),
)
def test_age_is_never_above_the_true_age_nor_more_than_a_year_below(born: date, on: date) -> None:
    true = on.year - born.year - ((on.month, on.day) < (born.month, born.day))
    assert true - 1 <= age_on(born.year, born.month, on) <= true


@pytest.mark.parametrize(
    ("age", "band"),
    [
        (0, Band.UNDER_12), (11, Band.UNDER_12), (12, Band.FROM_12), (15, Band.FROM_12),
        (16, Band.FROM_16), (17, Band.FROM_16), (18, Band.ADULT), (90, Band.ADULT),
    ],
)  # fmt: skip
def test_bands_of_the_problem_documents(age: int, band: Band) -> None:
    # formats.md: 0 under 12, 1 12 to 15, 2 16 to 17, 3 adult.
    assert band_of(age) is band
