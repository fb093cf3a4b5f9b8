"""How gladly somebody is given a task: liking, a wish to learn, what the season owes them."""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.plan import SkillNeed
from scheduling.domain.past_share import MOST_POINTS, PastShare
from scheduling.domain.problem import SkillHeld
from scheduling.domain.wishes import find_leaning, find_taught
from tests.scheduling.domain.planner.days import ON
from tests.scheduling.domain.planner.days import person as make_person
from tests.scheduling.domain.planner.days import task as make_task

AUGER = make_task(1, kind="core", skills=(SkillNeed("auger", 1),))
WEED = make_task(2, kind="weed")
HEAVY = make_task(3, kind="core", heavy=True)


@pytest.mark.parametrize(
    ("liked", "becomes"), [((), 1), ((("core", -2),), -1), ((("core", 2),), 3)]
)
def test_a_wish_to_learn_adds_one_to_the_liking(liked, becomes) -> None:
    person = replace(make_person(1), preferences=liked, wished_skills=("auger",))

    assert find_leaning(person, AUGER, ON) == becomes


def test_work_of_the_same_kind_that_asks_for_no_skill_teaches_nothing() -> None:
    person = replace(make_person(1), wished_skills=("auger",))

    assert find_taught(person, AUGER, ON) == ("auger",)
    assert find_leaning(person, HEAVY, ON) == 0


@pytest.mark.parametrize(("last_day", "taught"), [(ON, ()), (date(2027, 4, 16), ("auger",))])
def test_who_holds_the_skill_on_the_day_learns_nothing(last_day, taught) -> None:
    person = replace(
        make_person(1), wished_skills=("auger",), skills=(SkillHeld("auger", last_day),)
    )

    assert find_taught(person, AUGER, ON) == taught


def test_a_skill_no_task_asks_for_changes_nothing() -> None:
    person = replace(make_person(1), wished_skills=("scything",))

    assert [find_leaning(person, task, ON) for task in (AUGER, WEED, HEAVY)] == [0, 0, 0]


@pytest.mark.parametrize(
    ("past", "liked", "task", "points"),
    [
        # one round above an even share counts one point, three count two
        (PastShare(sessions=3, heavy=3, even_heavy=3), (), HEAVY, 0),
        (PastShare(sessions=3, heavy=4, even_heavy=3), (), HEAVY, -1),
        (PastShare(sessions=3, heavy=5, even_heavy=3), (), HEAVY, -1),
        (PastShare(sessions=3, heavy=6, even_heavy=3), (), HEAVY, -2),
        (PastShare(sessions=3, heavy=7, even_heavy=3), (), WEED, 0),
        (PastShare(sessions=3, heavy=7, even_heavy=3, liked=7), (("core", 1),), HEAVY, 1),
        (PastShare(sessions=3, heavy=0, even_heavy=3), (), HEAVY, 0),
        # wishes that were never met come sooner, and sooner still after two sessions
        (PastShare(sessions=1), (("weed", 1),), WEED, 2),
        (PastShare(sessions=2), (("weed", 1),), WEED, 3),
        (PastShare(sessions=9), (("weed", 1),), WEED, 3),
        (PastShare(sessions=9, liked=1), (("weed", 1),), WEED, 1),
        # and who had less of what they like than others, a little
        (PastShare(sessions=9, liked=1, even_liked=2), (("weed", 1),), WEED, 2),
        (PastShare(sessions=9, liked=1, even_liked=4), (("weed", 1),), WEED, 3),
        (PastShare(sessions=9, liked=1, even_liked=4), (("weed", 1),), HEAVY, 0),
        (PastShare(sessions=9, liked=5, even_liked=2), (("weed", 1),), WEED, 1),
        (PastShare(sessions=2), (("weed", 1),), HEAVY, 0),
        # disliked work
        (PastShare(sessions=3, disliked=5, even_disliked=1), (("weed", -1),), WEED, -3),
        (PastShare(sessions=3, disliked=5, even_disliked=1), (("core", -1),), WEED, 0),
        # stood idle while others worked
        (PastShare(sessions=3, idle=6, even_idle=4), (), WEED, 1),
        (PastShare(sessions=3, idle=7, even_idle=4), (), WEED, 2),
        # the same again and again, unless they like it
        (PastShare(sessions=3, again=("weed",), liked=1), (), WEED, -1),
        (PastShare(sessions=3, again=("weed",), liked=1), (("weed", 1),), WEED, 1),
        # heavy and idle at once: the one stands against the other
        (PastShare(sessions=3, heavy=7, even_heavy=3, idle=6, even_idle=4), (), HEAVY, -1),
    ],
)
def test_what_the_season_owes_leans_by_these_points(past, liked, task, points) -> None:
    person = replace(make_person(1), preferences=liked, past=past)

    assert find_leaning(person, task, ON) == points


def test_a_wish_to_learn_never_met_comes_sooner() -> None:
    person = replace(make_person(1), wished_skills=("auger",), past=PastShare(sessions=1))

    assert find_leaning(person, AUGER, ON) == 2
    assert find_leaning(replace(person, past=PastShare(sessions=1, learned=1)), AUGER, ON) == 1


COUNT = st.integers(0, 30)
PASTS = st.builds(
    PastShare, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT, COUNT,
    st.sampled_from([(), ("weed",), ("core", "weed")]),
)  # fmt: skip


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(past=PASTS, liking=st.integers(-2, 2), wishes=st.booleans())
def test_the_season_never_weighs_more_than_the_strongest_liking(past, liking, wishes) -> None:
    person = replace(
        make_person(1),
        preferences=(("core", liking), ("weed", -liking)),
        wished_skills=("auger",) if wishes else (),
    )
    for task in (AUGER, WEED, HEAVY):
        plain = find_leaning(person, task, ON)
        due = find_leaning(replace(person, past=past), task, ON) - plain
        assert -MOST_POINTS <= due <= MOST_POINTS
        if not past.sessions:
            assert due == 0
