"""Where the season decided: told only where two people could swap and the day would not mind."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduling.domain.condition import AtLeast, AtMost, Forbid, Per
from scheduling.domain.past_share import PastShare
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season_reasons import explain_season
from scheduling.domain.problem import Weights
from tests.scheduling.domain.planner.days import because, day, person, task

WHY = because()
LIMITS = Limits(seconds=10, seed=1, workers=1)
ONE_EACH = (AtMost(WHY, 1, None, (1,), Per.CREW), AtMost(WHY, 1, None, (2,), Per.CREW))
CARRIED = PastShare(sessions=3, rounds=12, heavy=8, even_heavy=4)
LIGHTER = PastShare(sessions=3, rounds=12, heavy=2, even_heavy=4)
NO_EVENING = Weights(most_heavy_rounds=0)


def boring_and_weeding(people, **facts):
    tasks = [
        task(1, kind="core", title="Core A1", heavy=True, required=True),
        task(2, kind="weed", title="Weed B", required=True),
    ]
    return day(people, tasks, weights=NO_EVENING, **facts)


def explained(problem, conditions=ONE_EACH):
    result = solve_roster(problem, conditions, LIMITS)
    return result, explain_season(problem, conditions, result.roster)


def test_a_day_without_a_past_has_nothing_to_explain():
    _, said = explained(boring_and_weeding([person(1), person(2)]))

    assert said is None


def test_who_carried_much_is_named_with_their_counts_and_with_whom_they_could_swap():
    people = [person(1, name="Ana B.", past=CARRIED), person(2, name="Ben T.", past=LIGHTER)]

    result, said = explained(boring_and_weeding(people))

    assert result.roster.crew(2, 0) == (1,)
    assert said.sentences == (
        "Round 1: Ana B. is at “Weed B”, not at “Core A1” like Ben T.: 8 heavy rounds so far "
        "where an even share is 4.",
    )
    # Two who are new, alone in two rounds each: 2 points for each of the four.
    assert (said.comfort, said.without, said.points) == (-8, -8, 0)
    assert said.is_whole


def test_where_a_rule_decided_the_season_did_not():
    people = [person(1, past=CARRIED), person(2, past=LIGHTER)]
    conditions = (*ONE_EACH, Forbid(WHY, (1,), (1,)))

    _, said = explained(boring_and_weeding(people), conditions)

    assert said.sentences == ()


def test_where_a_liking_said_today_decided_the_season_did_not():
    people = [person(1, past=CARRIED, preferences=(("weed", 2),)), person(2, past=LIGHTER)]

    _, said = explained(boring_and_weeding(people))

    assert said.sentences == ()


def test_what_the_season_outweighs_is_said_with_its_points():
    people = [
        person(1, name="Ana B.", past=CARRIED),
        person(2, name="Ben T.", past=LIGHTER, preferences=(("weed", 1),)),
    ]
    likes_little = boring_and_weeding(people)

    _, said = explained(likes_little)

    # Two points of the season against one of liking; Ben's wish has never been met either.
    met = replace(likes_little.people[1], past=replace(LIGHTER, liked=1))
    _, outweighed = explained(replace(likes_little, people=(likes_little.people[0], met)))
    assert said.sentences == ()
    (sentence,) = outweighed.sentences
    assert sentence.endswith(
        "where an even share is 4. The day alone would be 1 point of comfort better."
    )


@pytest.mark.parametrize(
    ("past", "likes", "why"),
    [
        (PastShare(sessions=2), (("weed", 1),), "no work they like in 2 sessions so far"),
        (
            PastShare(sessions=2, liked=1, even_liked=4), (("weed", 1),),
            "1 round at work they like so far where an even share is 4",
        ),
        (
            PastShare(sessions=3, disliked=5, even_disliked=2, liked=1), (("core", -1),),
            "5 rounds at work they dislike so far where an even share is 2",
        ),
        (PastShare(sessions=3, again=("core",)), (), "core was more than half of their rounds"),
    ],
)  # fmt: skip
def test_every_reason_has_its_words(past, likes, why):
    other = replace(past, liked=9, disliked=0, again=())
    people = [
        person(1, name="Ana B.", past=past, preferences=likes),
        person(2, past=other, preferences=likes),
    ]

    _, said = explained(boring_and_weeding(people))

    assert why in said.sentences[0]


def test_who_stood_idle_comes_before_who_did_not():
    idle = PastShare(sessions=3, rounds=6, idle=6, even_idle=2)
    people = [person(1, name="Ana B.", past=idle), person(2, name="Ben T.", past=LIGHTER)]
    one_task = day(people, [task(1, title="Weed B", required=True)], weights=NO_EVENING)

    _, said = explained(one_task, (AtMost(WHY, 1, None, None, Per.ROUND),))

    assert said.sentences == (
        "Round 1: Ana B. is at “Weed B”, not without a task like Ben T.: 6 rounds without a "
        "task so far where an even share is 2.",
    )


def test_young_people_are_counted_and_not_named():
    people = [
        person(1, name="Eve", age=17, past=CARRIED),
        person(2, name="Ben T.", age=17, past=LIGHTER),
        person(3, name="Cem", age=40),
    ]
    beside = (*ONE_EACH[1:], AtLeast(WHY, 2, None, (1,), Per.CREW), AtMost(WHY, 2, None, (1,),
                                                                          Per.CREW))  # fmt: skip
    conditions = (*beside, AtLeast(WHY, 1, (3,), (1,), Per.CREW))

    result, said = explained(boring_and_weeding(people), conditions)

    assert result.roster.crew(2, 0) == (1,)
    assert said.sentences == ()
    assert said.young == 1


PASTS = st.sampled_from([
    None, CARRIED, LIGHTER, PastShare(sessions=2), PastShare(sessions=1, liked=1, idle=5),
])  # fmt: skip


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(pasts=st.tuples(PASTS, PASTS, PASTS), likes=st.sampled_from([(), (("weed", 1),)]))
def test_nothing_is_told_of_a_day_that_is_the_same_without_its_past(pasts, likes):
    """An optimum for the day alone that the season would not change leaves nothing to tell."""
    people = [person(n, past=past, preferences=likes) for n, past in enumerate(pasts, start=1)]
    result, said = explained(boring_and_weeding(people))
    if said is None:
        assert pasts == (None, None, None)
        return
    assert said.points == said.comfort - said.without
    if not said.sentences:
        return
    # Some roster is as good for the day alone and another one with the season: that was decided.
    bare = tuple(replace(p, past=None) for p in people)
    plain = solve_roster(boring_and_weeding(bare), ONE_EACH, LIMITS)
    assert plain.value.comfort >= said.without
    assert result.value.comfort == said.comfort
