"""How long a background check counts: reference 3.6 to 3.9, from DBS and Ontario practice."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.background_check import (
    add_months,
    is_check_current,
    last_day_of_check,
    why_check_not_current,
)
from scheduling.domain.policy import build_default_policy
from scheduling.domain.rule_set import CheckValidity

THREE_YEARS = CheckValidity(months=36, end_exclusive=True)
# Ontario child care: five years; older than 6 months on receipt, a declaration, then yearly.
CHILD_CARE = CheckValidity(
    months=60, end_exclusive=True, declaration_after_months=6, declaration_months=12
)
# Scouting America: check and training, both in date (its interval from memory).
TRAINED = CheckValidity(months=60, end_exclusive=True, training_months=24)


@pytest.mark.parametrize(
    ("validity", "issued", "on", "counts"),
    [
        # Issued 2023-06-01, 36 months: 2026-05-31 counts, 2026-06-01 does not (3.6).
        (THREE_YEARS, date(2023, 6, 1), date(2026, 5, 31), True),
        (THREE_YEARS, date(2023, 6, 1), date(2026, 6, 1), False),
        (CheckValidity(36, end_exclusive=False), date(2023, 6, 1), date(2026, 6, 1), True),
        (CheckValidity(36, end_exclusive=False), date(2023, 6, 1), date(2026, 6, 2), False),
        (THREE_YEARS, None, date(2026, 6, 1), False),
        (THREE_YEARS, date(2026, 6, 2), date(2026, 6, 1), False),  # not issued yet
        (None, date(1990, 1, 1), date(2026, 6, 1), True),
        (CheckValidity(0, end_exclusive=True), date(1990, 1, 1), date(2026, 6, 1), True),
        # A check 8 months old without a declaration: not cleared (3.7); 5 months: cleared.
        (CHILD_CARE, date(2026, 1, 10), date(2026, 9, 10), False),
        (CHILD_CARE, date(2026, 4, 10), date(2026, 9, 10), True),
    ],
)
def test_counts_or_not(validity, issued, on, counts) -> None:
    assert (why_check_not_current(validity, issued_on=issued, on=on) == "") is counts


def test_a_declaration_in_date_clears_and_an_old_one_does_not() -> None:
    issued, on = date(2025, 1, 10), date(2026, 9, 10)

    def why(declared: date) -> str:
        return why_check_not_current(CHILD_CARE, issued_on=issued, on=on, declared_on=declared)

    assert why(date(2025, 9, 11)) == ""
    assert "asks for a declaration" in why(date(2025, 9, 10))


def test_both_dates_are_asked_for_where_training_is() -> None:
    issued, on = date(2025, 1, 10), date(2026, 9, 10)
    assert "training" in why_check_not_current(TRAINED, issued_on=issued, on=on)
    trained = date(2025, 2, 1)
    assert not why_check_not_current(TRAINED, issued_on=issued, on=on, trained_on=trained)
    late = date(2024, 9, 10)
    assert why_check_not_current(TRAINED, issued_on=issued, on=on, trained_on=late)


def test_as_shipped_a_check_counts_for_three_years_less_a_day() -> None:
    policy = build_default_policy()
    assert is_check_current(policy, issued_on=date(2023, 6, 1), on=date(2026, 5, 31))
    assert not is_check_current(policy, issued_on=date(2023, 6, 1), on=date(2026, 6, 1))
    assert last_day_of_check(policy.check_validity, date(2023, 6, 1)) == date(2026, 5, 31)
    assert policy.cite("check_validity.months").startswith("SITE-1: Central Surrey")


@pytest.mark.parametrize(
    ("start", "months", "end"),
    [
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2026, 11, 15), 2, date(2027, 1, 15)),
        (date(2026, 12, 1), 0, date(2026, 12, 1)),
    ],
)
def test_months_on_the_calendar(start: date, months: int, end: date) -> None:
    assert add_months(start, months) == end


@given(
    issued=st.dates(date(2000, 1, 1), date(2040, 1, 1)),
    months=st.integers(1, 72),
    exclusive=st.booleans(),
)
def test_the_last_day_is_the_last(issued: date, months: int, exclusive: bool) -> None:
    validity = CheckValidity(months, exclusive)
    last = last_day_of_check(validity, issued)
    assert last is not None
    assert not why_check_not_current(validity, issued_on=issued, on=last)
    assert why_check_not_current(validity, issued_on=issued, on=last + timedelta(days=1))
