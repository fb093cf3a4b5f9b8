"""First aiders, toilets and risk against the published tables."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.site_needs import (
    check_residual,
    hse_first_aid,
    ontario_first_aid,
    quebec_first_aiders,
    risk_word,
    toilets_needed,
)


# HSE first-aid table (reprint).
@pytest.mark.parametrize(
    ("people", "higher", "first_aiders", "appointed"),
    [
        (4, True, 0, True), (5, True, 1, False), (50, True, 1, False), (51, True, 2, False),
        (101, True, 3, False), (24, False, 0, True), (25, False, 1, False), (50, False, 1, False),
        (51, False, 1, False), (120, False, 2, False),
    ],
)  # fmt: skip
def test_hse(people: int, higher: bool, first_aiders: int, appointed: bool) -> None:
    need = hse_first_aid(people, higher_hazard=higher)
    assert (need.first_aiders, need.appointed_person_enough) == (first_aiders, appointed)


# Québec, A-3.001 r. 10, section 3.
@pytest.mark.parametrize(
    ("people", "needed"), [(0, 0), (1, 1), (50, 1), (51, 2), (150, 2), (151, 3)]
)
def test_quebec(people: int, needed: int) -> None:
    assert quebec_first_aiders(people) == needed


# Ontario Regulation 1101 (reprint).
@pytest.mark.parametrize(
    ("people", "word"),
    [(5, "emergency"), (6, "standard first aid"), (16, "stretcher"), (200, "stretcher"),
     (201, "room")],
)  # fmt: skip
def test_ontario(people: int, word: str) -> None:
    assert word in ontario_first_aid(people)
    assert ("stretcher" in ontario_first_aid(people)) is (16 <= people <= 200)


# 29 CFR 1928.110 and Maryland's copy.
@pytest.mark.parametrize(
    ("people", "minutes", "units"),
    [(41, 240, 3), (41, 180, 0), (41, 181, 3), (40, 240, 2), (20, 240, 1), (21, 240, 2)],
)
def test_toilets(people: int, minutes: int, units: int) -> None:
    assert toilets_needed(people, minutes) == units


@pytest.mark.parametrize(
    ("likelihood", "severity", "word"),
    [(1, 4, "low"), (1, 5, "medium"), (3, 3, "medium"), (2, 5, "high"), (3, 5, "high"),
     (4, 4, "stop"), (5, 5, "stop")],
)  # fmt: skip
def test_the_risk_grid(likelihood: int, severity: int, word: str) -> None:
    assert risk_word(likelihood, severity) == word  # convention


def test_the_grid_ends_at_five() -> None:
    with pytest.raises(RosterError, match="outside 1 to 5"):
        risk_word(0, 3)


def test_controls_never_make_a_risk_larger() -> None:
    check_residual(8, 6)
    with pytest.raises(RosterError, match="A risk of 8 after"):
        check_residual(6, 8)


@given(st.integers(0, 400), st.integers(0, 600), st.booleans())
def test_more_people_never_need_less(people: int, minutes: int, higher: bool) -> None:
    more = people + 1
    assert toilets_needed(more, minutes) >= toilets_needed(people, minutes)
    assert quebec_first_aiders(more) >= quebec_first_aiders(people)
    one, two = (hse_first_aid(n, higher_hazard=higher) for n in (people, more))
    assert two.first_aiders >= one.first_aiders
