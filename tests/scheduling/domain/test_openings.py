"""For whom spaces are open: what sign-up would answer to people nobody knows yet."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduling.domain.admission import check_admission
from scheduling.domain.openings import AGES, MOST_ASKED, Opening, find_openings
from scheduling.domain.people import Band, PersonId
from scheduling.domain.problem import Consent, RosterProblem
from tests.scheduling.domain.rule_days import adult, child, day, person

PLAIN = {"uncommitted_leads": 0, "first_aider_counts": True, "watched_closely_per_adult": 0}


def rooms(problem: RosterProblem, free: int) -> dict[Band, int]:
    return {opening.band: opening.room for opening in find_openings(problem, free)}


def test_a_full_session_is_open_to_nobody() -> None:
    assert find_openings(day([adult(1)], **PLAIN), 0) == ()


def test_adults_take_every_space_and_children_come_with_their_own() -> None:
    # A space goes to the child and one to the guardian.
    found = rooms(day([adult(n) for n in range(4)], people_per_first_aider=1000, **PLAIN), 7)
    assert found[Band.ADULT] == 7
    assert found[Band.UNDER_12] == 3


@pytest.mark.parametrize(
    ("adults", "young", "free", "room"),
    [
        # NSPCC Learning, September 2023: one to 10 from 13 to 18, at least two adults.
        (2, 14, 30, 6),
        (3, 21, 40, 9),
        (1, 0, 30, 0),
        (3, 0, 8, 8),
    ],
)
def test_how_many_sixteen_year_olds_the_adults_there_allow(
    adults: int, young: int, free: int, room: int
) -> None:
    there = [adult(n) for n in range(adults)]
    there += [child(100 + n, 16) for n in range(young)]
    problem = day(there, people_per_first_aider=1000, **PLAIN)
    opening = next(o for o in find_openings(problem, free) if o.band is Band.FROM_16)
    assert opening.room == room
    assert (opening.because is None) is (room == free)
    if opening.because is not None:
        assert opening.because.rule == "SUP-1"
        assert "more checked adult" in opening.because.remedy


def test_no_more_than_ten_are_asked_for_and_it_says_so() -> None:
    problem = day([adult(n) for n in range(4)], people_per_first_aider=1000, **PLAIN)
    found = {o.band: o for o in find_openings(problem, 25)}
    assert found[Band.FROM_16] == Opening(Band.FROM_16, MOST_ASKED, or_more=True)
    assert found[Band.UNDER_12] == Opening(Band.UNDER_12, MOST_ASKED, or_more=True)
    assert not {o.band: o for o in find_openings(problem, 10)}[Band.ADULT].or_more


@settings(max_examples=25, deadline=None)
@given(
    adults=st.integers(0, 3),
    young=st.lists(st.integers(12, 17), max_size=12),
    free=st.integers(1, 9),
)
def test_the_number_said_is_the_most_that_sign_up_lets_in(
    adults: int, young: list[int], free: int
) -> None:
    there = [adult(n) for n in range(adults)]
    there += [child(100 + n, age, guardian=None) for n, age in enumerate(young)]
    problem = day(there, people_per_first_aider=1000, **PLAIN)

    def lets_in(count: int) -> bool:
        consent = Consent(problem.consent_version, problem.on, problem.on)
        new = [
            replace(person(900 + n), age=AGES[Band.FROM_12][0], consents=(consent,))
            for n in range(count)
        ]
        asked = replace(problem, people=(*problem.people, *new))
        return check_admission(asked, tuple(PersonId(900 + n) for n in range(count))).allowed

    best = max(count for count in range(free + 1) if count == 0 or lets_in(count))
    assert rooms(problem, free)[Band.FROM_12] == best


def test_work_that_is_for_adults_alone_is_open_to_no_child() -> None:
    problem = day([adult(n) for n in range(3)], **PLAIN)
    tasks = tuple(replace(task, minimum_age=18) for task in problem.tasks)
    found = {o.band: o for o in find_openings(replace(problem, tasks=tasks), 5)}
    assert found[Band.ADULT] == Opening(Band.ADULT, 5)
    assert found[Band.FROM_16].room == 0
    assert found[Band.FROM_16].because is not None
