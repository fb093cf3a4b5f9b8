"""Searches on the roster's and the season's page: begun, followed, stopped, told how they ended."""

import re
from datetime import timedelta
from http import HTTPStatus
from unittest import mock

import pytest
from django.test import Client
from pytest_django import Settings

from orchard.models import Task, User
from scheduling.domain.roster import RosterResult, SolveStatus
from scheduling.models import (
    PlannedWork,
    Roster,
    SearchRun,
    SearchWorker,
    SeasonPlan,
    Session,
    SignUp,
)
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, SEASON, STRANGER, SignIn

ROSTER = f"{S02}/roster/"
LOOK = f"{ROSTER}search/"
HTMX = {"HTTP_HX_REQUEST": "true"}
STAGES = [
    {"stage": "required work left undone", "value": 0, "bound": 0, "seconds": 0.4},
    {"stage": "other work done", "value": 75, "bound": 100, "seconds": 3.25},
]


@pytest.fixture
def worker(sign_in: SignIn) -> SearchWorker:
    """A worker that gave a sign of life just now."""
    return SearchWorker.objects.create(name="w1", started_at=NOW, beat_at=NOW)


@pytest.fixture
def running(small_day: Session, worker: SearchWorker) -> SearchRun:
    """A search of S02 that a worker has been at for five seconds."""
    began = NOW - timedelta(seconds=5)
    return SearchRun.objects.create(
        site=small_day.season.site, kind="roster", session=small_day, state="running", seconds=60,
        seed=1, requested_at=began, started_at=began, heartbeat_at=NOW, worker=worker.name,
        stages=STAGES, requested_by=User.objects.get(email=COORDINATOR),
    )  # fmt: skip


def text_of(client: Client, address: str, **headers: str) -> str:
    answer = client.get(address, **headers)
    assert answer.status_code == HTTPStatus.OK
    return answer.content.decode()


@pytest.mark.usefixtures("worker")
def test_a_search_begun_is_left_to_the_worker_and_shown(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)

    text = client.post(
        f"{ROSTER}propose/", {"seconds": "45", "seed": "9"}, follow=True
    ).content.decode()

    run = SearchRun.objects.get()
    assert (run.state, run.seconds, run.seed) == ("waiting", 45, 9)
    assert "waiting</span>" in text
    assert "Stop and keep the best so far" in text
    assert "Propose a roster" not in text
    assert not Roster.objects.exists()


@pytest.mark.usefixtures("worker")
def test_a_double_click_gives_one_search(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/")

    text = client.post(f"{ROSTER}propose/", follow=True).content.decode()

    assert SearchRun.objects.count() == 1
    assert "A search is under way already" in text


def test_progress_is_told_in_words_and_figures(sign_in: SignIn, running: SearchRun) -> None:
    text = text_of(sign_in(COORDINATOR), ROSTER)

    assert "searching</span>: Other work for the hands that are free" in text
    assert "at most 25.0 % below the best possible" in text
    assert "100 at most" in text
    assert "5 of at most 60 s" in text
    assert '<progress id="search-time" max="60.0" value="5.0">' in text
    assert "proven: nothing better is possible" in text  # of the step before
    assert COORDINATOR in text


def test_two_people_see_the_same_search_and_only_the_coordinator_may_stop_it(
    sign_in: SignIn, running: SearchRun
) -> None:
    hers, his = text_of(sign_in(COORDINATOR), ROSTER), text_of(sign_in(LEAD), ROSTER)

    for text in (hers, his):
        assert "at most 25.0 % below the best possible" in text
    assert "Stop and keep the best so far" in hers
    assert "Stop and keep the best so far" not in his


def test_a_look_with_script_gets_the_part_that_moves(sign_in: SignIn, running: SearchRun) -> None:
    part = text_of(sign_in(COORDINATOR), LOOK, **HTMX)

    assert part.strip().startswith('<div id="search-live"')
    assert "<h1>" not in part
    assert f'hx-get="{LOOK}?told=running-2&amp;alone=0"' in part
    assert 'hx-trigger="every 2s"' in part


def test_a_listener_is_told_of_a_new_step_once(sign_in: SignIn, running: SearchRun) -> None:
    client = sign_in(COORDINATOR)

    anew = text_of(client, f"{LOOK}?told=running-1", **HTMX)
    known = text_of(client, f"{LOOK}?told=running-2", **HTMX)

    assert re.search(r'<p id="search-said" hx-swap-oob="innerHTML">Other work', anew)
    assert "search-said" not in known


def test_the_looks_end_when_the_search_has_ended(sign_in: SignIn, running: SearchRun) -> None:
    SearchRun.objects.update(state="ended", status="undecided", ended_at=NOW, found_seconds=60)

    answer = sign_in(COORDINATOR).get(LOOK, **HTMX)

    assert answer.headers["HX-Refresh"] == "true"
    assert "hx-get" not in text_of(sign_in(COORDINATOR), ROSTER)
    assert "htmx" not in text_of(sign_in(COORDINATOR), ROSTER)


def test_a_look_without_script_leads_to_the_page_that_shows_the_same(
    sign_in: SignIn, running: SearchRun
) -> None:
    client = sign_in(COORDINATOR)

    answer = client.get(LOOK)

    assert answer.headers["Location"] == f"{ROSTER}#search"
    assert f'href="{LOOK}"' in text_of(client, ROSTER)


def test_stopping_is_shown_until_the_best_so_far_is_kept(
    sign_in: SignIn, running: SearchRun
) -> None:
    text = sign_in(COORDINATOR).post(f"{LOOK}stop/", follow=True).content.decode()

    running.refresh_from_db()
    assert running.state == SearchRun.State.STOPPING
    assert "Stopping: the best so far is kept." in text
    assert "Stop and keep the best so far" not in text


def test_a_search_whose_worker_died_is_told_of_and_another_may_begin(
    sign_in: SignIn, running: SearchRun
) -> None:
    silent = NOW - timedelta(seconds=60)
    SearchWorker.objects.update(beat_at=silent)
    SearchRun.objects.update(heartbeat_at=silent, started_at=silent)
    client = sign_in(COORDINATOR)

    text = text_of(client, ROSTER)

    assert "lost</span>" in text
    assert "Propose a roster" in text
    assert "manage.py search_worker" in text
    client.post(f"{ROSTER}propose/")
    assert Roster.objects.filter(session__code="S02").exists()


def test_without_a_worker_the_page_says_so_and_searches_itself(
    sign_in: SignIn, small_day: Session, settings: Settings
) -> None:
    settings.ROSTER_SECONDS = 3
    client = sign_in(COORDINATOR)

    before = text_of(client, ROSTER)
    after = client.post(f"{ROSTER}propose/", follow=True).content.decode()

    assert "No search worker is running on this server" in before
    assert "Up to 3 s may be asked for" in before
    assert "A draft roster is proposed. Read it, then publish it." in after
    assert SearchRun.objects.get().seconds == 3


def test_a_waiting_search_that_nobody_takes_up_is_done_here_or_given_up(
    sign_in: SignIn, small_day: Session, worker: SearchWorker, settings: Settings
) -> None:
    settings.ROSTER_SECONDS = 2
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/", {"seconds": "300"})
    worker.delete()

    text = text_of(client, ROSTER)
    assert "Nobody takes this search up" in text
    assert "Search here for 2 s" in text
    assert client.get(f"{LOOK}?told=waiting-0&alone=0", **HTMX).headers["HX-Refresh"] == "true"
    assert "HX-Refresh" not in client.get(f"{LOOK}?told=waiting-0&alone=1", **HTMX).headers

    done = client.post(f"{LOOK}here/", follow=True).content.decode()
    assert "A draft roster is proposed." in done
    again = client.post(f"{LOOK}here/", follow=True).content.decode()
    assert "does not wait any more" in again


@pytest.mark.usefixtures("worker")
def test_a_waiting_search_given_up_says_so(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/")

    text = client.post(f"{LOOK}stop/", follow=True).content.decode()

    assert "It was given up before anybody took it up." in text
    assert "Propose a roster" in text


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize(
    ("sent", "sentence"),
    [
        ({"seconds": "0"}, "greater than or equal to 1"),
        ({"seconds": "601"}, "longer than the 600 s"),
        ({"seconds": "soon"}, "Enter a number."),
        ({"seconds": "nan"}, "Enter a number."),
        ({"seed": "-1"}, "greater than or equal to 0"),
        ({"seed": str(2**40)}, "less than or equal to"),
    ],
)
def test_what_a_search_cannot_be_is_refused_beside_the_field(
    sign_in: SignIn, small_day: Session, sent: dict[str, str], sentence: str
) -> None:
    answer = sign_in(COORDINATOR).post(f"{ROSTER}propose/", sent)

    text = answer.content.decode()
    assert answer.status_code == HTTPStatus.OK
    assert "Put this right first" in text
    assert sentence in text
    assert not SearchRun.objects.exists()


def test_nothing_found_in_time_is_said_and_the_last_roster_stays(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/")
    nothing = RosterResult(SolveStatus.UNDECIDED, None, None, None, seconds=8, seed=1)

    with mock.patch("scheduling.domain.planner.day.solve_roster", return_value=nothing):
        text = client.post(f"{ROSTER}propose/", follow=True).content.decode()

    assert "Nothing was found in time, and nothing is proven impossible." in text
    assert "It searched for 8 s." in text
    assert "The roster below is the one from before; it was not touched." in text
    assert "version 1" in text
    assert Roster.objects.get().state == Roster.State.DRAFT


def test_a_draft_of_a_day_that_changed_since_is_marked(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/")
    assert "have changed since it was searched" not in text_of(client, ROSTER)

    SignUp.objects.filter(session=small_day, person__code="P05").delete()

    assert "have changed since it was searched" in text_of(client, ROSTER)


@pytest.mark.parametrize("page", [LOOK, f"{SEASON}/search/"])
def test_a_stranger_finds_no_search(sign_in: SignIn, running: SearchRun, page: str) -> None:
    stranger = sign_in(STRANGER)

    assert stranger.get(page, **HTMX).status_code == HTTPStatus.NOT_FOUND
    elsewhere = page.replace("traverser-yard", "elsewhere")
    assert stranger.get(elsewhere, **HTMX).status_code == HTTPStatus.NOT_FOUND
    assert stranger.post(f"{elsewhere}stop/").status_code == HTTPStatus.NOT_FOUND
    running.refresh_from_db()
    assert running.state == SearchRun.State.RUNNING


# --- the season -----------------------------------------------------------------------------------


@pytest.fixture
def proposed(sign_in: SignIn) -> SeasonPlan:
    """A current plan, and one beside it that moves weeding from S02 to S05."""
    session, later = Session.objects.get(code="S02"), Session.objects.get(code="S05")
    task = Task.objects.filter(kind="weed").order_by("position").first()
    known = {"season": session.season, "made_at": NOW, "seconds": 1, "seed": 1, "engine": "1"}
    kept = SeasonPlan.objects.create(status="good", value=900, bound=1000, **known)
    beside = SeasonPlan.objects.create(
        status="good", value=950, bound=1000, current=False, proposed=True, **known
    )
    for plan, at in ((kept, session), (beside, later)):
        PlannedWork.objects.create(season_plan=plan, session=at, task=task, units=3)
    return beside


def test_the_season_page_shows_what_a_proposed_plan_changes(
    sign_in: SignIn, proposed: SeasonPlan
) -> None:
    text = " ".join(text_of(sign_in(COORDINATOR), f"{SEASON}/").split())

    assert "A new plan is proposed" in text
    assert "at most 5.0 % below the best possible" in text
    assert "1 task moved" in text
    assert '<td data-label="Before">S02 3 m²</td><td data-label="After">S05 3 m²</td>' in text
    assert "Take the new plan" in text
    assert "Take the new plan" not in text_of(sign_in(LEAD), f"{SEASON}/")


def test_a_plan_is_taken_or_set_aside_by_its_number(sign_in: SignIn, proposed: SeasonPlan) -> None:
    from scheduling.queries.season_problems import digest_open_work

    SeasonPlan.objects.update(work_digest=digest_open_work(proposed.season.site_id))
    client = sign_in(COORDINATOR)

    assert client.post(f"{SEASON}/plan/take/").status_code == HTTPStatus.NOT_FOUND
    text = client.post(f"{SEASON}/plan/take/", {"plan": proposed.pk}, follow=True).content.decode()

    assert "The new plan is in place." in text
    assert SeasonPlan.objects.get(current=True) == proposed
    again = client.post(f"{SEASON}/plan/take/", {"plan": proposed.pk}, follow=True)
    assert "The plan was not changed. This plan is not proposed" in again.content.decode()


def test_a_plan_set_aside_is_gone_from_the_page(sign_in: SignIn, proposed: SeasonPlan) -> None:
    text = (
        sign_in(COORDINATOR)
        .post(f"{SEASON}/plan/set-aside/", {"plan": proposed.pk}, follow=True)
        .content.decode()
    )

    assert "A new plan is proposed" not in text
    assert SeasonPlan.objects.get(current=True) != proposed


def test_planning_again_proposes_and_the_page_says_it(sign_in: SignIn, small_day: Session) -> None:
    """The fixture's plan gives five units of one task to S02; the search gives out more of it."""
    text = sign_in(COORDINATOR).post(f"{SEASON}/plan/", {"seconds": "2"}, follow=True)

    assert "A new plan is proposed. See what it changes" in text.content.decode()
    assert SeasonPlan.objects.get(current=True).work.get().units == 5


@pytest.mark.usefixtures("worker")
def test_a_season_search_is_followed_and_stopped_on_its_page(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{SEASON}/plan/", {"seconds": "120"})
    SearchRun.objects.update(
        state="running", worker="w1", started_at=NOW, heartbeat_at=NOW,
        stages=[{"stage": "season", "value": 980, "bound": 1000, "seconds": 2.0}],
    )  # fmt: skip

    text = text_of(client, f"{SEASON}/")
    part = text_of(client, f"{SEASON}/search/", **HTMX)
    client.post(f"{SEASON}/search/stop/")

    for shown in (text, part):
        assert "Giving the work to the sessions" in shown
        assert "at most 2.0 % below the best possible" in shown
    assert SearchRun.objects.get().state == SearchRun.State.STOPPING
