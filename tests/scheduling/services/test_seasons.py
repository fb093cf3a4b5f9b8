"""Planning a season: one current plan, promised work kept, nothing kept without an answer."""

from dataclasses import replace
from datetime import timedelta
from unittest import mock
from zoneinfo import ZoneInfo

import pytest

from orchard.domain.plan import After
from orchard.domain.task_codec import decode_task, digest_task, encode_task
from orchard.models import Task
from scheduling.domain.errors import NothingPlanned
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import SolveStatus
from scheduling.domain.season import SeasonResult
from scheduling.models import (
    PlannedWork,
    Season,
    SeasonPlan,
    Session,
    SessionRecord,
    SignUp,
    WorkRecord,
)
from scheduling.queries.season_problems import load_open_season
from scheduling.services.seasons import plan_season
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

FEW_TASKS = ("GRO-A-1", "GRO-B-1", "RNG-A-1", "RNG-A-2", "COR-P4-1", "BKF-P4-1", "TOP-A-1")


@pytest.fixture
def season(db: None) -> Season:
    """The spring's first four sessions and seven tasks, so that a plan is found in a moment."""
    Task.objects.exclude(key__in=FEW_TASKS).update(state=Task.State.DONE)
    Session.objects.exclude(code__in=("S01", "S02", "S03", "S05")).update(
        state=Session.State.CALLED_OFF
    )
    return Season.objects.get()


def plan(season: Season, at=NOW) -> SeasonResult:
    return plan_season(season_id=season.pk, at=at, limits=Limits(seconds=2))


def work_of(code: str) -> set[tuple[str, int]]:
    rows = PlannedWork.objects.filter(season_plan__current=True, session__code=code)
    return set(rows.values_list("task__key", "units"))


def test_a_plan_gives_open_work_to_open_sessions(season: Season) -> None:
    result = plan(season)

    work = PlannedWork.objects.filter(season_plan__current=True)
    assert result.status in (SolveStatus.BEST, SolveStatus.GOOD)
    assert set(work.values_list("session__code", flat=True)) <= {"S01", "S02", "S03", "S05"}
    assert set(work.values_list("task__key", flat=True)) <= set(FEW_TASKS)
    for task in Task.objects.filter(key__in=FEW_TASKS):
        assert sum(work.filter(task=task).values_list("units", flat=True)) <= task.units
    assert work.exists()


def test_holes_bored_in_a_session_are_filled_in_it(season: Season) -> None:
    plan(season)

    bored = dict(PlannedWork.objects.filter(task__key="COR-P4-1").values_list("session", "units"))
    filled = dict(PlannedWork.objects.filter(task__key="BKF-P4-1").values_list("session", "units"))
    assert bored
    assert bored == filled


def test_planning_again_keeps_one_current_plan_and_the_old_one_readable(season: Season) -> None:
    plan(season)
    plan(season, NOW + timedelta(days=1))

    plans = list(SeasonPlan.objects.filter(season=season).values_list("made_at", "current"))
    assert plans == [(NOW, False), (NOW + timedelta(days=1), True)]
    assert PlannedWork.objects.filter(season_plan__current=False).exists()


def test_work_promised_by_a_published_roster_stays_where_it_is(season: Season) -> None:
    """A weak answer is published first; a better plan would move it, but people were told."""
    promise = SeasonPlan.objects.create(
        season=season, made_at=NOW, status="good", seconds=0, seed=1, engine="by hand"
    )
    session = Session.objects.get(code="S03")
    for key, units in (("RNG-A-2", 7), ("GRO-B-1", 2)):
        PlannedWork.objects.create(
            season_plan=promise, session=session, task=Task.objects.get(key=key), units=units
        )
    Session.objects.filter(pk=session.pk).update(state=Session.State.PUBLISHED)

    plan(season, NOW + timedelta(days=1))

    assert SeasonPlan.objects.get(current=True).made_at == NOW + timedelta(days=1)
    for key, units in (("RNG-A-2", 7), ("GRO-B-1", 2)):
        assert dict(work_of("S03")).get(key, 0) >= units


def test_work_already_done_is_not_planned_again(season: Season) -> None:
    task = Task.objects.get(key="RNG-A-1")
    Task.objects.filter(pk=task.pk).update(units_done=task.units - 3)

    plan(season)

    planned = PlannedWork.objects.filter(season_plan__current=True, task=task)
    assert sum(planned.values_list("units", flat=True)) <= 3


def test_what_follows_finished_work_waits_from_the_day_it_was_recorded(season: Season) -> None:
    """Topping up A-1 rests three weeks after weeding A-1, which was finished in S01."""
    done, later = Task.objects.get(key="GRO-A-1"), Task.objects.get(key="RNG-A-1")
    task = decode_task(later.content)
    waiting = replace(task, after=(After("GRO-A-1", same_session=False, lag_days=21),))
    later.content = encode_task(waiting)
    later.content_digest = digest_task(later.content)
    later.save()
    session = Session.objects.get(code="S01")
    Session.objects.filter(pk=session.pk).update(state=Session.State.DONE)
    record = SessionRecord.objects.create(session=session, recorded_at=NOW, people=4)
    WorkRecord.objects.create(
        record=record, task=done, units=done.units, adult_min=60, activity="weed",
        planned_min_per_unit=6,
    )  # fmt: skip
    Task.objects.filter(pk=done.pk).update(units_done=done.units, state=Task.State.DONE)

    problem = load_open_season(season.pk, at=NOW).problem

    item = next(item for item in problem.items if item.id == "RNG-A-1")
    finished = session.starts_at.astimezone(ZoneInfo(season.site.time_zone)).date()
    days = [(problem.sessions[s].on - finished).days for s in range(len(problem.sessions))]
    assert min(days) < 21 <= max(days)
    assert item.sessions == tuple(s for s, rest in enumerate(days) if rest >= 21)


def test_a_season_asks_for_the_comfort_of_the_settings(season: Season, settings) -> None:
    settings.SEASON_KEPT_FREE_PERCENT = 20
    problem = load_open_season(season.pk, at=NOW).problem
    assert problem.kept_free_percent == 20
    assert problem.heavy_most_percent == 70
    assert "20 % of each session's person-minutes is kept free" in plan(season).notes[0]


@pytest.mark.parametrize("status", [SolveStatus.IMPOSSIBLE, SolveStatus.UNDECIDED])
def test_an_answer_without_a_plan_leaves_the_current_one(
    season: Season, status: SolveStatus
) -> None:
    # Every season can be left empty, so such an answer is handed in here.
    plan(season)
    before = list(PlannedWork.objects.order_by("pk").values())
    none_found = mock.Mock(status=status)

    with mock.patch("scheduling.domain.planner.season.solve_season", return_value=none_found):
        assert plan(season) is none_found

    assert SeasonPlan.objects.count() == 1
    assert list(PlannedWork.objects.order_by("pk").values()) == before


@pytest.mark.parametrize(
    ("take_away", "sentence"),
    [
        (lambda: Session.objects.update(starts_at=NOW), "has no session ahead. Add sessions"),
        (lambda: Task.objects.update(state=Task.State.DONE), "has no open task. Publish a plan's"),
        (lambda: SignUp.objects.all().delete(), "Nobody is signed up for any session"),
    ],
)
def test_a_season_with_nothing_to_plan_says_what_is_missing(
    season: Season, take_away, sentence: str
) -> None:
    take_away()

    with pytest.raises(NothingPlanned, match=sentence):
        plan(season)

    assert not SeasonPlan.objects.exists()


def test_no_ground_is_opened_on_a_day_that_no_locate_covers(season_of_the_file, db) -> None:
    from scheduling.models import Season
    from scheduling.queries.season_problems import load_open_season

    season = Season.objects.get(site__slug="traverser-yard")
    season.site.locates.exclude(pk=season.site.locates.first().pk).delete()
    locate = season.site.locates.prefetch_related("areas").get()
    covered = {area.code for area in locate.areas.all()}
    problem = load_open_season(season.pk, at=NOW)
    zones = {kept.task.key: kept.task for kept in problem.tasks}
    cores = [item for item in problem.problem.items if zones[item.id].opens_ground]
    assert cores
    for item in cores:
        for number in item.sessions:
            on = problem.problem.sessions[number].on
            assert locate.first_day <= on <= locate.last_day
            assert zones[item.id].zone in covered
