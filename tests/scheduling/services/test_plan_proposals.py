"""A plan beside the current one: proposed with its difference, taken, set aside, or outdated."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from orchard.models import Task
from scheduling.domain.errors import SearchRefused
from scheduling.models import PlannedWork, SearchRun, Season, SeasonPlan, Session
from scheduling.queries.plan_proposals import find_proposal
from scheduling.queries.season_problems import digest_open_work
from scheduling.services.runs import start_season_run
from scheduling.services.searches import SAME_WORK, carry_out
from scheduling.services.seasons import set_plan_aside, take_plan
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

FEW_TASKS = ("GRO-A-1", "GRO-B-1", "RNG-A-1", "COR-P4-1", "BKF-P4-1")


@pytest.fixture
def season(db: None) -> Season:
    """The spring's first four sessions and five tasks, so that a plan is found in a moment."""
    Task.objects.exclude(key__in=FEW_TASKS).update(state=Task.State.DONE)
    Session.objects.exclude(code__in=("S01", "S02", "S03", "S05")).update(
        state=Session.State.CALLED_OFF
    )
    return Season.objects.get()


@pytest.fixture
def weak_plan(season: Season) -> SeasonPlan:
    """A current plan that gives one task to a late session: any search finds a better one."""
    plan = SeasonPlan.objects.create(
        season=season, made_at=NOW, status="good", seconds=0, seed=1, engine="by hand", value=1
    )
    PlannedWork.objects.create(
        season_plan=plan,
        session=Session.objects.get(code="S05"),
        task=Task.objects.get(key="RNG-A-1"),
        units=2,
        required=True,
    )
    return plan


def search(season: Season, at=NOW) -> SearchRun:
    receipt = start_season_run(season_id=season.pk, seconds=2, seed=1, by=None, at=at)
    carry_out(run_id=receipt.run_id, now=lambda: at)
    return SearchRun.objects.get(pk=receipt.run_id)


def test_the_first_plan_of_a_season_is_kept_at_once(season: Season) -> None:
    run = search(season)

    plan = SeasonPlan.objects.get()
    assert (plan.current, plan.proposed, run.plan_id) == (True, False, plan.pk)
    assert find_proposal(season.pk) is None


def test_a_plan_that_changes_work_waits_beside_the_current_one(
    season: Season, weak_plan: SeasonPlan
) -> None:
    run = search(season)

    weak_plan.refresh_from_db()
    proposal = find_proposal(season.pk)
    assert weak_plan.current
    assert proposal is not None
    assert proposal.id == run.plan_id
    moved = {line.title: line for line in proposal.tasks}[
        Task.objects.get(key="RNG-A-1").content["title"]
    ]
    assert moved.before == (("S05", 2),)
    assert moved.change in ("more", "moved")
    given = PlannedWork.objects.filter(season_plan_id=run.plan_id)
    hours_after = sum(line.after_min for line in proposal.sessions)
    assert hours_after == pytest.approx(
        sum(w.units * w.task.mean_person_min / w.task.units for w in given.select_related("task"))
    )


def test_taking_it_puts_it_in_place_once(season: Season, weak_plan: SeasonPlan) -> None:
    proposed = search(season).plan_id

    take_plan(season_id=season.pk, plan_id=proposed, at=NOW)

    assert SeasonPlan.objects.get(current=True).pk == proposed
    assert not SeasonPlan.objects.filter(proposed=True).exists()
    assert SeasonPlan.objects.filter(pk=weak_plan.pk, current=False).exists()
    with pytest.raises(SearchRefused, match="not proposed any more"):
        take_plan(season_id=season.pk, plan_id=proposed, at=NOW)


def test_setting_it_aside_leaves_the_current_plan(season: Season, weak_plan: SeasonPlan) -> None:
    proposed = search(season).plan_id

    for _ in range(2):
        set_plan_aside(season_id=season.pk, plan_id=proposed)

    assert SeasonPlan.objects.get(current=True) == weak_plan
    assert find_proposal(season.pk) is None
    with pytest.raises(SearchRefused):
        take_plan(season_id=season.pk, plan_id=proposed, at=NOW)


def test_a_plan_of_the_same_work_needs_nobodys_word(season: Season) -> None:
    search(season)
    again = search(season, NOW + timedelta(minutes=1))

    assert SeasonPlan.objects.get(current=True).pk == again.plan_id
    assert again.messages == [SAME_WORK]
    assert find_proposal(season.pk) is None


def test_a_newer_search_replaces_a_proposal(season: Season, weak_plan: SeasonPlan) -> None:
    first = search(season).plan_id
    second = search(season, NOW + timedelta(minutes=1)).plan_id

    assert first != second
    proposal = find_proposal(season.pk)
    assert proposal is not None
    assert proposal.id == second


def test_the_database_keeps_one_proposal_and_none_that_is_current(
    season: Season, weak_plan: SeasonPlan
) -> None:
    search(season)
    known = {"season": season, "made_at": NOW, "status": "good", "seconds": 0, "seed": 1}

    for how in ({"current": False, "proposed": True}, {"current": True, "proposed": True}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SeasonPlan.objects.create(engine="1", **known, **how)


def do_some_work(season: Season) -> None:
    Task.objects.filter(key="RNG-A-1").update(units_done=1)


def call_a_session_off(season: Season) -> None:
    proposed = SeasonPlan.objects.get(proposed=True)
    session = proposed.work.first().session
    Session.objects.filter(pk=session.pk).update(state=Session.State.CALLED_OFF)


def publish_a_roster_of_the_current_plan(season: Season) -> None:
    work = PlannedWork.objects.get(season_plan__current=True)
    Session.objects.filter(pk=work.session_id).update(state=Session.State.PUBLISHED)
    SeasonPlan.objects.get(proposed=True).work.filter(
        session_id=work.session_id, task_id=work.task_id
    ).delete()


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (do_some_work, "The open work has changed"),
        (call_a_session_off, "does not lie ahead"),
        (
            publish_a_roster_of_the_current_plan,
            "people were told of 2 m² of “Weed the ring of T01”",
        ),
    ],
)
def test_a_plan_of_what_has_changed_since_is_refused_with_the_reason(
    season: Season, weak_plan: SeasonPlan, change, sentence: str
) -> None:
    proposed = search(season).plan_id
    change(season)

    with pytest.raises(SearchRefused, match=sentence):
        take_plan(season_id=season.pk, plan_id=proposed, at=NOW)

    assert SeasonPlan.objects.get(current=True) == weak_plan


def test_a_proposal_changes_nothing_that_pages_and_rosters_read(
    season: Season, weak_plan: SeasonPlan
) -> None:
    from scheduling.queries.problems import load_roster_problem

    session = Session.objects.get(code="S05")
    before = load_roster_problem(session.pk).tasks
    digest = digest_open_work(season.site_id)

    search(season)

    assert load_roster_problem(session.pk).tasks == before
    assert digest_open_work(season.site_id) == digest
