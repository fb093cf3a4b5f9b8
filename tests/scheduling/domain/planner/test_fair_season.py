"""The season so far in a day's comfort: engine, plain count and folded day against every roster.

The figures are ours; the outside check is complete enumeration (`oracle`, which counts in its own
words and shares nothing with the planner).
"""

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.plan import SkillNeed
from scheduling.domain.condition import AtLeast, AtMost, Per
from scheduling.domain.past_rounds import PastPerson, PastPlace, PastWork, add_up_past
from scheduling.domain.past_share import PastShare
from scheduling.domain.planner.allowed import forbidden_cells
from scheduling.domain.planner.by_hand import make_roster_by_hand
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.outline import OutlineTask, find_outline
from scheduling.domain.planner.search import Clock
from scheduling.domain.planner.symmetry import find_kinds
from scheduling.domain.planner.worth import rank, value_of, widest_bound
from scheduling.domain.problem import SkillHeld, Weights
from scheduling.domain.roster import SolveStatus
from tests.scheduling.domain.planner.days import because, day, person, task
from tests.scheduling.domain.planner.oracle import (
    as_roster,
    best_worth,
    fillings,
    from_roster,
    unit_plans,
    worth,
)

LIMITS = Limits(seconds=20, seed=3, workers=1)
WHY = because()
FEW = st.integers(0, 7)
PASTS = st.none() | st.builds(
    PastShare, st.integers(0, 3), FEW, FEW, FEW, st.integers(0, 1), FEW, st.integers(0, 1), FEW,
    FEW, FEW, FEW, st.sampled_from([(), ("weed",), ("core",)]),
)  # fmt: skip
WISHES = st.sampled_from([(), ("auger",), ("auger", "lead")])
LIKINGS = st.sampled_from([(), (("core", 2),), (("core", -1), ("weed", 1)), (("weed", -2),)])
PEOPLE = st.tuples(PASTS, WISHES, LIKINGS, st.integers(0, 2))


def work():
    """Boring, which is heavy and asks for a signed-off hand, and weeding."""
    return [
        task(1, kind="core", required=True, heavy=True, skills=(SkillNeed("auger", 1),)),
        task(2, kind="weed", required=True, value_per_unit=2),
    ]


def auger_hand(id_, **facts):
    return person(id_, skills=(SkillHeld("auger", date(2030, 1, 1)),), **facts)


def day_of(each, **facts):
    """Three people, one of them signed off, two rounds; the crew at the auger holds a hand."""
    people = [
        person(n, past=past, wished_skills=wishes, preferences=liked, experience=experience)
        for n, (past, wishes, liked, experience) in enumerate(each, start=1)
    ]
    people[0] = replace(people[0], skills=(SkillHeld("auger", date(2030, 1, 1)),))
    return day(people, work(), **facts)


RULES = (AtLeast(WHY, 1, (1,), (1,), Per.CREW), AtMost(WHY, 2, None, (2,), Per.CREW))


def as_tuple(value):
    return (-value.required_left, value.other_done, -value.changes, value.comfort)


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(each=st.tuples(PEOPLE, PEOPLE, PEOPLE), weight=st.integers(0, 3))
def test_the_engine_finds_the_best_of_all_rosters_with_a_season_behind_it(each, weight):
    problem = day_of(each, weights=Weights(preference=weight))

    result = solve_roster(problem, RULES, LIMITS)

    best = best_worth(problem, RULES)
    assert result.status is SolveStatus.BEST
    assert as_tuple(result.value) == best == as_tuple(result.bound)
    filled, units = from_roster(result.roster)
    assert worth(problem, filled, units) == best
    assert widest_bound(problem).comfort >= best[3]


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(each=st.tuples(PEOPLE, PEOPLE), weight=st.integers(0, 3))
def test_the_plain_count_agrees_with_the_words_on_every_roster(each, weight):
    problem = day_of(each, weights=Weights(preference=weight), rounds=2)
    for filled in fillings(problem):
        units = next(iter(unit_plans(problem, filled)))
        value = value_of(problem, as_roster(filled, units))
        assert as_tuple(value) == worth(problem, filled, units)


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(one=PEOPLE, two=PEOPLE, alike=st.booleans())
def test_the_folded_days_bound_holds_and_only_people_alike_are_folded(one, two, alike):
    problem = day_of((one, two, two if alike else one))
    kinds = find_kinds(problem, RULES)
    forbidden = forbidden_cells(problem, RULES)
    asked = OutlineTask(problem, RULES, forbidden, kinds, {}, for_comfort=True)

    outline = find_outline(asked, Clock(LIMITS), 10.0)

    best = best_worth(problem, RULES)
    assert outline.bounds["required_left"] <= -best[0]
    if outline.bounds["required_left"] == -best[0] and "comfort" in outline.bounds:
        assert outline.bounds["comfort"] >= best[3]


def test_people_with_another_past_are_not_taken_for_alike():
    heavy = PastShare(sessions=3, rounds=12, heavy=9, even_heavy=4)
    people = [person(n, past=heavy if n == 3 else None) for n in (1, 2, 3)]

    kinds = find_kinds(day(people, work()), ())

    assert kinds == ((1, 2), (3,))


def test_who_carried_more_than_a_share_gets_the_lighter_work():
    """Two alike but for the season: one at the auger's crew, one at the rings."""
    heavy = PastShare(sessions=3, rounds=12, heavy=8, even_heavy=4)
    crews = (
        AtLeast(WHY, 2, None, (1,), Per.CREW), AtMost(WHY, 2, None, (1,), Per.CREW),
        AtMost(WHY, 1, None, (2,), Per.CREW), AtLeast(WHY, 1, (1,), (1,), Per.CREW),
    )  # fmt: skip
    for carried in (2, 3):
        people = [auger_hand(1), *(person(n, past=heavy if n == carried else None) for n in (2, 3))]
        problem = day(people, [replace(t, units=1) for t in work()], rounds=1)
        problem = replace(problem, people=tuple(replace(p, present=(True,)) for p in people))

        result = solve_roster(problem, crews, LIMITS)

        assert result.status is SolveStatus.BEST
        assert result.roster.crew(2, 0) == (carried,)
        assert result.roster.crew(1, 0) == (1, 5 - carried)


@pytest.mark.parametrize("sessions", [1, 3])
def test_whose_wish_was_never_met_comes_first(sessions):
    """One place at the work both like, and it goes to whom it was never given."""
    one_each = (AtMost(WHY, 1, None, (1,), Per.CREW), AtMost(WHY, 1, None, (2,), Per.CREW))
    tasks = [task(1, kind="core", required=True), task(2, kind="weed", required=True)]
    met, unmet = PastShare(sessions=sessions, liked=2), PastShare(sessions=sessions)
    for waiting in (1, 2):
        people = [
            person(n, preferences=(("core", 2),), past=unmet if n == waiting else met)
            for n in (1, 2)
        ]
        result = solve_roster(day(people, tasks), one_each, LIMITS)

        assert [result.roster.crew(1, r) for r in (0, 1)] == [(waiting,), (waiting,)]


def test_a_wish_said_for_the_day_outweighs_a_season_that_owes_less():
    """Two likings of 2 and -2 against the two points that the season owes the other."""
    heavy = PastShare(sessions=3, rounds=12, heavy=8, even_heavy=4)
    people = [person(1, past=heavy), person(2, preferences=(("weed", 2), ("core", -2)))]
    tasks = [replace(t, skills=()) for t in work()]
    one_each = (AtMost(WHY, 1, None, (1,), Per.CREW), AtMost(WHY, 1, None, (2,), Per.CREW))

    today_alone = Weights(most_heavy_rounds=0)
    result = solve_roster(day(people, tasks, weights=today_alone), one_each, LIMITS)

    assert [result.roster.crew(2, r) for r in (0, 1)] == [(2,), (2,)]


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(each=st.tuples(PEOPLE, PEOPLE, PEOPLE))
def test_a_roster_made_by_hand_counts_the_same_and_is_never_better_than_the_engines(each):
    problem = day_of(each)
    made = make_roster_by_hand(problem, RULES, forbidden_cells(problem, RULES))
    assert made is not None
    roster, value = made

    filled, units = from_roster(roster)

    assert as_tuple(value) == worth(problem, filled, units)
    assert rank(value) <= rank(solve_roster(problem, RULES, LIMITS).value)


def carried_over_a_season(sessions, *, counts):
    """Solve the same day again and again; return everybody's heavy rounds, and liked ones."""
    rules = (
        AtLeast(WHY, 2, None, (1,), Per.CREW), AtMost(WHY, 2, None, (1,), Per.CREW),
        AtMost(WHY, 2, None, (2,), Per.CREW), AtMost(WHY, 1, None, (3,), Per.CREW),
    )  # fmt: skip
    tasks = [
        task(1, kind="core", heavy=True, required=True, units=2, points_per_unit=600),
        task(2, kind="mulch", required=True, units=2, points_per_unit=600),
        task(3, kind="weed", required=True, units=2),
    ]
    facts = {1: PastWork("core", heavy=True), 2: PastWork("mulch"), 3: PastWork("weed")}
    people = [person(n, preferences=(("weed", 1),)) for n in range(1, 6)]
    wanting = [PastPerson(n, preferences=(("weed", 1),)) for n in range(1, 6)]
    places = []
    for number in range(sessions):
        past = add_up_past(places, dict.fromkeys(range(number), 2), facts, wanting)
        today = [replace(p, past=past.get(p.id)) if counts else p for p in people]
        result = solve_roster(day(today, tasks), rules, LIMITS)
        assert result.status is SolveStatus.BEST
        places += [PastPlace(number, a.round, a.person, a.task) for a in result.roster.assignments]
    past = add_up_past(places, dict.fromkeys(range(sessions), 2), facts, wanting)
    return [past[n].heavy for n in range(1, 6)], [past[n].liked for n in range(1, 6)]


def test_over_a_season_heavy_work_goes_round_and_everybody_has_what_they_like():
    """Five people alike and the same day eight times: 32 heavy rounds, 16 at what all like."""
    heavy_alone, liked_alone = carried_over_a_season(8, counts=False)
    heavy, liked = carried_over_a_season(8, counts=True)

    assert sum(heavy) == sum(heavy_alone) == 32
    assert sum(liked) == sum(liked_alone) == 16
    assert max(heavy) - min(heavy) <= 3 < max(heavy_alone) - min(heavy_alone) == 8
    assert min(liked) > 0 == min(liked_alone)
    assert max(liked) - min(liked) < max(liked_alone)
