"""What a session's document says of the rule book holds: rosters it allows break only the unsaid.

A walk over rosters that the document's judge lets pass, one person-round
changed at each step; the product's own rules then find nothing but what the
page lists as not in the document.
"""

from dataclasses import replace
from datetime import datetime
from random import Random

import pytest

from orchard.models import Task
from scheduling.domain.condition import Severity
from scheduling.domain.documents.answers import answer_day
from scheduling.domain.documents.coming_back import roster_from
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.export_day import export_day
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.unsaid import list_unsaid
from scheduling.domain.judgement import judge_roster
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.rules import all_conditions
from scheduling.models import PlannedWork, SeasonPlan, Session
from scheduling.queries.problems import load_roster_problem

STEPS = 400
WORK = ("GRO-A-1", "RNG-A-1", "COR-P4-1", "BKF-P4-1", "TOP-A-1")


@pytest.fixture
def planned(demo_season: None, now: datetime) -> SeasonPlan:
    """Each session given the same work: weeding, boring, filling, measuring."""
    sessions = Session.objects.order_by("code")
    plan = SeasonPlan.objects.create(
        season=sessions[0].season, made_at=now, status="good", seconds=1, seed=1, engine="by hand"
    )
    for session in sessions:
        for task in Task.objects.filter(key__in=WORK):
            PlannedWork.objects.create(
                season_plan=plan,
                session=session,
                task=task,
                units=min(task.units, 6),
                required=True,
            )
    return plan


def _walk(document, found, dice):
    """Yield answers that the document's judge lets pass, each one step from the one before."""
    rows = dict(found.assignments)
    names, tasks = sorted(rows), [None, *(task.id for task in document.tasks)]
    for _ in range(STEPS):
        who, at = dice.choice(names), dice.randrange(document.rounds)
        row = list(rows[who])
        row[at] = dice.choice(tasks)
        tried = rows | {who: tuple(row)}
        answer = replace(found, assignments=tuple(tried.items()), units=())
        if not judge_day(document, answer).broken:
            rows = tried
            yield answer


@pytest.mark.parametrize("code", ["S02", "S05"])
def test_rosters_that_the_document_allows_break_only_what_it_cannot_say(
    planned: SeasonPlan, code: str
) -> None:
    session = Session.objects.get(code=code)
    problem = replace(load_roster_problem(session.pk), published=(), locks=())
    conditions = all_conditions(problem)
    document = export_day(problem, conditions, name=code)
    unsaid = {line.split(":")[0] for line in list_unsaid(problem, conditions)}
    case = build_day(document)
    found = answer_day(case, solve_roster(case.problem, case.conditions, Limits(seconds=3)), 3.0)
    assert found.assignments

    steps = 0
    for answer in _walk(document, found, Random(1)):
        roster = roster_from(problem, answer, name=code)
        rules = {
            finding.rule
            for finding in judge_roster(problem, roster)
            if finding.severity is Severity.BLOCKS
        }
        assert rules <= unsaid
        steps += 1
    assert steps > 20
    assert unsaid < {one.reason.rule for one in conditions}  # some rules are said whole
