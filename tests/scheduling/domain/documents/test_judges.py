"""The judges against the planner's own checks, on thousands of answers right and wrong.

They share no code: the judges read the documents, `verify` and `season_check`
what the planner was given. Where both say the same of everything, a sentence of
the format would have to be misread twice in the same way.
"""

import ast
from collections import Counter
from dataclasses import astuple, replace
from pathlib import Path

import scheduling.domain.documents
from scheduling.domain.documents.answers import plan_of, roster_of
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.planner.season_check import find_season_faults
from scheduling.domain.planner.season_terms import value_of_season
from scheduling.domain.planner.worth import value_of
from scheduling.domain.roster import SolveStatus, Value
from scheduling.domain.verify import find_violations
from tests.scheduling.domain.documents.small_documents import (
    answer,
    day,
    person,
    random_answer,
    random_day,
    random_season,
    random_season_answer,
    task,
)

# The judge's word for a sentence, and the code of the same sentence as a condition.
SAME = {
    "present": "PRE-1", "age": "AGE-1", "restriction": "RST-1", "kneeling": "KNE-1",
    "crew size": "CRW-1", "lead": "LED-1", "skill": "SKL-1", "class part": "GRP-1",
    "class staff": "GRP-1", "supervision": "SUP-1", "zone": "SUP-2", "young crew": "SUP-3",
    "guardian": "GUA-1", "tools": "TOL-1", "first aid": "FA-1", "heavy": "HVY-1",
    "rest": "STR-1", "powered": "HAV-1", "units": "UNI-1", "points": "UNI-1",
    "closing": "CLO-1", "closing ahead": "CLO-1",
}  # fmt: skip
DAYS, SEASONS = 1500, 1500


def test_the_judge_of_days_and_verify_find_the_same():
    broken: Counter[str] = Counter()
    for seed in range(DAYS):
        document = random_day(seed // 3)
        tried = random_answer(document, seed)
        case = build_day(document)
        roster = roster_of(case, tried)

        judgement = judge_day(document, tried)
        findings = find_violations(case.problem, case.conditions, roster)

        rules = {one.rule for one in judgement.broken}
        assert {SAME[rule] for rule in rules} == {one.rule for one in findings}, seed
        broken.update(rules)
        broken["nothing"] += not rules
        if "units" not in rules:
            value = value_of(case.problem, roster)
            value = replace(value, changes=value.changes + case.changes_always)
            assert tuple(n for _, n in judgement.counted) == astuple(value), seed
    assert set(broken) == {*SAME, "nothing"}  # every sentence was broken, and sometimes none
    assert min(broken.values()) > 10


def test_the_judge_of_seasons_and_the_planner_find_the_same():
    broken: Counter[str] = Counter()
    for seed in range(SEASONS):
        document = random_season(seed // 3)
        tried = random_season_answer(document, seed)
        case = build_season(document)
        planned = plan_of(case, tried)

        judgement = judge_season(document, tried)

        rules = {one.rule for one in judgement.broken}
        assert bool(rules) == bool(find_season_faults(case.problem, planned)), seed
        broken.update(rules)
        broken["nothing"] += not rules
        if "units" not in rules:
            assert dict(judgement.counted)["objective"] == value_of_season(case.problem, planned)
    assert set(broken) == {
        "units", "window", "crew size", "order", "closing", "capacity", "crews", "place", "tools",
        "materials", "nothing",
    }  # fmt: skip
    assert min(broken.values()) > 10


def test_the_judges_share_nothing_with_the_planner():
    """They may import the documents' own readers and nothing else of the domain."""
    folder = Path(scheduling.domain.documents.__file__).parent
    own = {"judge_day", "judge_season", "judgement", "spread_day"}
    readers = {"day_problem", "day_roster", "season_problem", "season_plan"}
    for name in sorted(own):
        tree = ast.parse((folder / f"{name}.py").read_text())
        modules = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
        used = {m.rpartition(".")[2] for m in modules if m.startswith("scheduling")}
        assert used <= own | readers | {"roster"}, name  # of which the status and four figures


def test_what_an_answer_says_of_itself_is_held_against_the_count():
    document = day([person("ana", holds=("lead", "first aid"))], [task("t", units=2)])
    rows, units = {"ana": "t -"}, {"t": (2, 0)}

    def claims(status, bound):
        found = answer(document, rows, units, status=status, bound=bound)
        return judge_day(document, found).claims

    assert claims(SolveStatus.GOOD, Value(0, 5, 0, 0)) == ()
    assert claims(SolveStatus.BEST, Value(0, 2, 0, 0)) == ()
    assert claims(SolveStatus.BEST, Value(0, 5, 0, 0)) == (
        "other_done is 2, its bound 5: not proven best.",
    )
    assert claims(SolveStatus.GOOD, Value(1, 1, 0, 0)) == (
        "required_left is 0, better than the stated bound 1.",
        "other_done is 2, better than the stated bound 1.",
    )
