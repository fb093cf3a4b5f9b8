"""A class by numbers against the NSPCC table of September 2023; combining ages by 1.20 to 1.26."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.errors import RosterError
from scheduling.domain.admission import SupervisionLine, check_group
from scheduling.domain.group_check import show_shares
from scheduling.domain.policy import RatioBand, build_default_policy
from scheduling.domain.rule_set import Combining
from scheduling.domain.rule_sets import get_rule_set
from scheduling.domain.supervision import show_required
from tests.scheduling.domain.rule_days import adult, day, person, young

SUM = "everyone there, sum of fractions, rounded up once"
YOUNGEST = "the class alone in one crew, the youngest one's ratio governs all"
FLOOR = "the floor, however few young people"
STAFF = "the class's own staff"
AID = "first aiders for everyone there"


def plain(*people, **facts):
    """Return a day whose site adds no lead and counts its only first aider."""
    return day(*people, **{"uncommitted_leads": 0, "first_aider_counts": True, **facts})


EMPTY = replace(plain([]), people=())
NSPCC = build_default_policy().supervision


def lines(problem=EMPTY, pupils=((7, 24),), staff=4, checked=4) -> dict[str, SupervisionLine]:
    found = check_group(problem, pupils_by_age=pupils, staff=staff, checked_staff=checked)
    return {line.method: line for line in found}


def counts(line: SupervisionLine) -> tuple[int, int, int]:
    return (line.required, line.there, line.missing)


@pytest.mark.parametrize(
    ("pupils", "by_sum", "by_youngest"),
    [
        (((7, 24),), 4, 4),
        (((7, 25),), 5, 5),
        (((15, 5),), 2, 1),  # the floor of the table is in the sum over everyone
        (((7, 7), (10, 9), (15, 12)), 4, 5),  # 3.4917 and 28/6
        (((7, 1), (10, 1), (15, 1)), 2, 1),
        (((18, 11),), 2, 2),  # 18 is the last age of the last band for a pupil
    ],
)
def test_ways_of_combining(
    pupils: tuple[tuple[int, int], ...], by_sum: int, by_youngest: int
) -> None:
    found = lines(pupils=pupils)
    assert found[SUM].required == by_sum
    assert found[YOUNGEST].required == by_youngest
    assert found[FLOOR].required == 2


def test_a_sum_that_floats_get_wrong_asks_for_three() -> None:
    table = replace(NSPCC, bands=(RatioBand(8, 6), RatioBand(12, 8), RatioBand(18, 12)))
    problem = replace(EMPTY, policy=replace(EMPTY.policy, supervision=table))
    found = lines(problem, pupils=((7, 7), (10, 10), (15, 7)))
    assert found[SUM].required == 3
    assert "7/6 + 10/8 + 7/12 = 3, rounded up 3; floor 2 → 3" in found[SUM].text


def test_the_arithmetic_is_shown() -> None:
    ages = [7] * 7 + [10] * 9 + [15] * 12
    assert show_shares(NSPCC, ages) == "7/6 + 9/8 + 12/10 = 3.49, rounded up 4"
    scouts = get_rule_set("SCOUTS-UK-SQUIRRELS").supervision
    assert show_required(scouts, [5] * 9) == "9/4 → 3: 3; plus 1 leader in charge; floor 3 → 4"
    told = show_required(NSPCC, ages, leads=1)
    assert told.endswith("rounded up 4; plus 1 lead with no crew to watch; floor 2 → 5")
    # 1.24 and 1.26 exactly: a sum a hair above a whole number is not shown as that number.
    by_youngest = replace(NSPCC, combining=Combining.YOUNGEST)
    assert show_shares(by_youngest, ages) == (
        "28 in all at the youngest one's 1 to 6: 28/6 = 4.67, rounded up 5"
    )


def test_strictest_first_with_what_is_there_and_missing() -> None:
    found = check_group(EMPTY, pupils_by_age=((7, 7), (10, 9), (15, 12)), staff=4, checked_staff=3)
    assert [(line.method, *counts(line)) for line in found] == [
        (YOUNGEST, 5, 3, 2),
        (SUM, 4, 3, 1),
        (AID, 2, 0, 2),
        (FLOOR, 2, 3, 0),
        (STAFF, 1, 4, 0),
    ]
    assert all(line.source for line in found)
    assert "September 2023" in found[0].source


def test_those_already_there_ask_and_give() -> None:
    # Three checked adults, ten of 15 who need the floor of two: one adult is to spare.
    problem = plain([adult(1, skills=("first_aid",)), adult(2), adult(3), *young(10, 15, 10)])
    found = lines(problem, pupils=((7, 12),), staff=1, checked=1)
    assert counts(found[SUM]) == (3, 4, 0)  # 12/6 + 10/10
    assert counts(found[YOUNGEST]) == (2, 2, 0)
    assert counts(found[AID]) == (2, 1, 1)  # 13 + 12 + 1 = 26 people


def test_the_round_in_which_most_is_missing_counts() -> None:
    problem = plain([adult(1), adult(2, present=(True, True, False))])
    found = lines(problem, pupils=((7, 18),), staff=1, checked=1)
    assert counts(found[SUM]) == (3, 2, 1)
    assert counts(found[FLOOR]) == (2, 2, 0)


def test_adults_to_spare_in_some_rounds_only_do_not_count() -> None:
    problem = plain([adult(1), adult(2, present=(True, False, False))])
    found = lines(problem, pupils=((7, 18),), staff=1, checked=1)
    assert counts(found[YOUNGEST]) == (3, 2, 1)


def test_no_staff_and_no_pupils() -> None:
    assert counts(lines(pupils=((10, 5),), staff=0, checked=0)[STAFF]) == (1, 0, 1)
    assert check_group(EMPTY, pupils_by_age=((10, 0),), staff=2, checked_staff=2) == ()
    assert check_group(EMPTY, pupils_by_age=(), staff=2, checked_staff=2) == ()


def test_a_class_of_grown_ups_needs_no_supervision() -> None:
    assert set(lines(pupils=((25, 10),))) == {STAFF, AID}


@pytest.mark.parametrize(
    ("pupils", "staff", "checked"),
    [(((7, -1),), 1, 1), (((-1, 3),), 1, 1), (((7, 3),), -1, 0), (((7, 3),), 1, 2),
     (((7, 3),), 1, -1)],
)  # fmt: skip
def test_odd_numbers_are_refused(
    pupils: tuple[tuple[int, int], ...], staff: int, checked: int
) -> None:
    with pytest.raises(RosterError, match="cannot be; enter"):
        check_group(EMPTY, pupils_by_age=pupils, staff=staff, checked_staff=checked)


@given(
    pupils=st.dictionaries(st.integers(4, 17), st.integers(0, 15), min_size=1, max_size=6),
    more=st.integers(4, 17),
    checked=st.integers(0, 6),
)
def test_a_pupil_more_never_asks_less_and_a_checked_adult_more_never_misses_more(
    pupils: dict[int, int], more: int, checked: int
) -> None:
    problem = plain([adult(1), person(2)])

    def judged(table: dict[int, int], staff: int) -> dict[str, SupervisionLine]:
        return lines(problem, tuple(table.items()), staff, staff)

    before = judged(pupils, checked)
    larger = judged({**pupils, more: pupils.get(more, 0) + 1}, checked)
    staffed = judged(pupils, checked + 1)
    for method, line in before.items():
        assert larger[method].required >= line.required
        if method != AID:  # the adult more is one more person for the first aider
            assert staffed[method].missing <= line.missing
