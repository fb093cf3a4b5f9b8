"""Answers of the planner on documents: judged, counted, held against every possible answer."""

import json
from dataclasses import astuple, replace
from itertools import product
from random import Random

import pytest

from scheduling.domain.documents.answers import answer_day, answer_season, plan_of, roster_of
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.writing import (
    write_day_problem,
    write_day_roster,
    write_season_plan,
    write_season_problem,
)
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.domain.roster import SolveStatus
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.documents.small_documents import (
    answer,
    day,
    person,
    random_day,
    random_season,
    season_answer,
    task,
)
from tests.scheduling.domain.documents.test_judges import SAME

LIMITS = Limits(seconds=10, workers=1)
TINY_DAYS, TINY_SEASONS = range(60), range(60)


def _solve_day(document):
    case = build_day(document)
    return case, solve_roster(case.problem, case.conditions, LIMITS)


def _better(value):
    """Return a day's objective so that more is better at every stage."""
    left, other, changes, comfort = value
    return (-left, other, -changes, comfort)


def _every_day(document):
    """Yield the objective of every roster that the judge lets pass."""
    choices = [
        [None, *(t.id for t in document.tasks)] if there else [None]
        for one in document.people
        for there in one.present
    ]
    rounds = document.rounds
    for flat in product(*choices):
        rows = {
            one.id: flat[n * rounds : (n + 1) * rounds] for n, one in enumerate(document.people)
        }
        free = answer(
            document, {name: " ".join(t or "-" for t in row) for name, row in rows.items()}
        )
        if judge_day(document, free).broken:
            continue  # nothing undone is ever in the way of a roster, so units come after
        yield from _with_units(document, free)


def _with_units(document, free):
    splits = [
        [row for row in product(range(t.units + 1), repeat=document.rounds) if sum(row) <= t.units]
        for t in document.tasks
    ]
    for rows in product(*splits):
        units = zip((t.id for t in document.tasks), rows, strict=True)
        judgement = judge_day(document, replace(free, units=tuple(units)))
        if not judgement.broken:
            yield tuple(n for _, n in judgement.counted)


@pytest.mark.parametrize("seed", TINY_DAYS)
def test_a_tiny_day_is_solved_as_well_as_by_trying_everything(seed):
    document = random_day(seed, most_people=3, most_tasks=2, most_rounds=2)
    document = replace(
        document, tasks=tuple(replace(t, units=min(t.units, 2)) for t in document.tasks)
    )
    best = max(_every_day(document), key=_better, default=None)

    case, result = _solve_day(document)

    if best is None:
        assert result.status is SolveStatus.IMPOSSIBLE
        return
    found = answer_day(case, result, 0.1)
    judgement = judge_day(document, found)
    assert result.status is SolveStatus.BEST
    assert judgement.broken == ()
    assert judgement.is_stated_right
    assert astuple(found.objective) == best
    assert found.bound == found.objective


def _every_season(document):
    rows = [
        [
            row
            for row in product(range(one.units + 1), repeat=len(document.sessions))
            if sum(row) <= one.units
        ]
        for one in document.items
    ]
    names = [one.id for one in document.sessions]
    for chosen in product(*rows):
        units = {
            one.id: {name: n for name, n in zip(names, row, strict=True) if n}
            for one, row in zip(document.items, chosen, strict=True)
        }
        judgement = judge_season(document, season_answer(document, units))
        if not judgement.broken:
            yield dict(judgement.counted)["objective"]


@pytest.mark.parametrize("seed", TINY_SEASONS)
def test_a_tiny_season_is_solved_as_well_as_by_trying_everything(seed):
    document = random_season(seed)
    document = replace(
        document,
        items=tuple(replace(one, units=min(one.units, 2)) for one in document.items[:3]),
    )
    best = max(_every_season(document))  # no work at all is always a plan

    case = build_season(document)
    result = solve_season(case.problem, LIMITS)
    found = answer_season(case, result, 0.1)

    judgement = judge_season(document, found)
    assert result.status is SolveStatus.BEST
    assert judgement.broken == ()
    assert judgement.is_stated_right
    assert found.objective == best


@pytest.mark.parametrize("seed", range(30))
def test_documents_and_answers_read_back_as_they_were_written(seed):
    document = random_day(seed)
    case, result = _solve_day(document)
    found = answer_day(case, result, 1.25)

    assert read_day_problem(write_day_problem(document)) == document
    assert read_day_roster(write_day_roster(found)) == found
    if result.roster is not None:
        assert roster_of(case, found) == result.roster
    assert ("reasons" in json.loads(write_day_roster(found))) == bool(found.reasons)

    whole = random_season(seed)
    season_case = build_season(whole)
    season_result = solve_season(season_case.problem, LIMITS)
    plan = answer_season(season_case, season_result, 1.25)

    assert read_season_problem(write_season_problem(whole)) == whole
    assert read_season_plan(write_season_plan(plan)) == plan
    assert plan_of(season_case, plan) == tuple(sorted(season_result.planned, key=astuple))


def test_what_was_published_for_a_task_that_is_gone_counts_as_changed():
    document = day(
        [person("ana", holds=("lead",)), person("aid", holds=("first aid",))],
        [task("t")],
        published=(("ana", ("gone", "t")), ("left", ("t", "t"))),
    )

    case, result = _solve_day(document)
    found = answer_day(case, result, 0.1)

    assert found.objective.changes == found.bound.changes == 1
    assert judge_day(document, found).is_stated_right


def test_work_may_close_what_itself_closes_something():
    """A ring dug, lined and filled: each unit a round after the one before, ids in any order."""
    people = [
        person("ana", holds=("lead",), rounds=4),
        person("aid", holds=("first aid",), rounds=4),
    ]
    tasks = [
        task("c", units=2, closes="b", required=True),
        task("b", units=2, closes="a", required=True),
        task("a", units=2, required=True),
    ]
    document = day(people, tasks, rounds=4)

    case, result = _solve_day(document)
    found = answer_day(case, result, 0.1)

    assert judge_day(document, found).broken == ()
    assert astuple(found.objective)[:2] == (0, 0)


def _good_day():
    people = [
        person("p1", holds=("lead", "saw"), checked=True, experience=2, rounds=3),
        person("p2", holds=("lead",), checked=True, rounds=3),
        person("p3", holds=("first aid",), rounds=3),
        person("p4", age=14, rounds=3),
        person("p5", age=10, guardian="p2", rounds=3),
    ]
    tasks = [
        task("dig", units=4, required=True, heavy=True, minimum_age=16, skills=(("saw", 1),)),
        task("fill", units=4, required=True, closes="dig"),
        task("weed", units=9, crew_min=2),
    ]
    return day(people, tasks, rounds=3)


def _break_one_thing(found, dice):
    """Return the answer with one person-round or one number of units changed."""
    rows = [[name, list(row)] for name, row in found.assignments]
    units = [[name, list(row)] for name, row in found.units]
    if dice.random() < 0.75:
        row = dice.choice(rows)[1]
        at = dice.randrange(len(row))
        row[at] = dice.choice([one for one in (None, "dig", "fill", "weed") if one != row[at]])
    else:
        row = dice.choice(units)[1]
        row[dice.randrange(len(row))] += dice.choice((1, 5, -1))
    return replace(
        found,
        assignments=tuple((name, tuple(row)) for name, row in rows),
        units=tuple((name, tuple(row)) for name, row in units),
    )


def test_one_thing_broken_in_a_good_roster_is_named():
    """What the planner's own check finds the judge finds, and by the same name."""
    document = _good_day()
    case, result = _solve_day(document)
    found = answer_day(case, result, 0.1)
    assert judge_day(document, found).broken == ()

    named = set()
    for seed in range(300):
        broken = _break_one_thing(found, Random(seed))
        judgement = judge_day(document, broken)
        findings = find_violations(case.problem, case.conditions, roster_of(case, broken))
        rules = {one.rule for one in judgement.broken}
        assert {SAME[rule] for rule in rules} == {one.rule for one in findings}, seed
        named |= rules
    assert named >= {
        "age", "lead", "skill", "guardian", "young crew", "points", "closing", "units",
    }  # fmt: skip
