"""Work that a plan does twice under one title is told apart, in a season and on a day.

The demo plan measures its trees before and after the works, and waters twice.
"""

import pytest

from orchard.models import Plan, Task
from orchard.queries.tasks import count_times, load_open_tasks
from orchard.services.tasks import publish_tasks
from scheduling.domain.rules import all_conditions
from scheduling.models import PlannedWork, SeasonPlan, Session
from scheduling.queries.plan_proposals import find_proposal
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.season_problems import load_open_season
from tests.signed_in import NOW

FIRST, SECOND = "Measure T01 to T09, first time", "Measure T01 to T09, second time"


@pytest.fixture
def session(demo_season: None) -> Session:
    """S02, with the demo plan's tasks published."""
    publish_tasks(plan_id=Plan.objects.get().pk, on=NOW.date())
    return Session.objects.select_related("season__site").get(code="S02")


def plan_both(session: Session, **facts: object) -> SeasonPlan:
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="good", seconds=1, seed=1, engine="1", **facts
    )
    for key in ("GRO-A-1", "GRO2-A-1"):
        task = Task.objects.get(key=key)
        PlannedWork.objects.create(season_plan=plan, session=session, task=task, units=9)
    return plan


def test_no_two_items_of_a_season_have_one_name(session: Session) -> None:
    items = load_open_season(session.season_id, at=NOW).problem.items
    titles = {item.id: item.title for item in items}

    assert (titles["GRO-A-1"], titles["GRO2-A-1"]) == (FIRST, SECOND)
    assert len(titles) == len(set(titles.values()))
    assert all(item.unit and item.task_units for item in items)
    assert titles["RNG-A-1"] == Task.objects.get(key="RNG-A-1").title  # done once: as it is


def test_the_second_time_stays_the_second_when_the_first_is_done(session: Session) -> None:
    Task.objects.filter(key="GRO-A-1").update(state=Task.State.DONE)

    items = load_open_season(session.season_id, at=NOW).problem.items

    assert {item.id: item.title for item in items}["GRO2-A-1"] == SECOND


def test_with_the_first_withdrawn_there_is_one_and_its_title_is_enough(session: Session) -> None:
    Task.objects.filter(key="GRO-A-1").update(state=Task.State.WITHDRAWN)
    task = Task.objects.get(key="GRO2-A-1")

    assert task.pk not in count_times(load_open_tasks(session.season.site_id))


def test_a_day_says_which_of_both_waits_for_which(session: Session) -> None:
    plan_both(session)

    problem = load_roster_problem(session.pk)
    said = [c.reason.text for c in all_conditions(problem) if c.reason.rule == "ORD-1"]

    assert f"“{FIRST}” is finished before “{SECOND}” begins." in said
    tasks = {task.key: task for task in problem.tasks}
    assert tasks["GRO2-A-1"].title == "Measure T01 to T09"  # papers and calendars keep it


def test_a_proposed_plan_names_each_time_in_its_difference(session: Session) -> None:
    plan_both(session, current=False, proposed=True)

    proposal = find_proposal(session.season_id)

    assert proposal is not None
    assert [task.title for task in proposal.tasks] == [FIRST, SECOND]
