"""The page that searches what would make more work fit a season, in the background."""

from datetime import timedelta
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import Task, User
from scheduling.domain.planner.limits import Limits
from scheduling.models import PlannedWork, SearchRun, SearchWorker, SeasonPlan, Session, SignUp
from scheduling.queries import runs
from scheduling.services.answered import Watch
from scheduling.services.season_changes import search_season_changes
from scheduling.services.seasons import plan_season
from tests.scheduling.views.searching import carry_out_as_worker, press_when_heard, text_of
from tests.signed_in import COORDINATOR, LEAD, NOW, SEASON, STRANGER, VOLUNTEER, SignIn

PAGE, SEASON_PAGE = f"{SEASON}/changes/", f"{SEASON}/"
HTMX = {"HTTP_HX_REQUEST": "true"}
SAID = "1 of 3 tried gain; 9 are to be tried; the best so far: One more session at the end"


@pytest.fixture(autouse=True)
def short_search(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(runs.USUAL_SECONDS, runs.CHANGES, 6.0)


@pytest.fixture
def worker(sign_in: SignIn) -> SearchWorker:
    """A worker that gave a sign of life just now; nothing takes its tasks up."""
    return SearchWorker.objects.create(name="w1", started_at=NOW, beat_at=NOW)


@pytest.fixture
def one_session(small_day: Session) -> Session:
    """Only S02 lies ahead, its five people for the weeding of every ring."""
    Session.objects.exclude(pk=small_day.pk).update(state=Session.State.CALLED_OFF)
    SeasonPlan.objects.all().delete()
    Task.objects.filter(kind="weed").update(state=Task.State.OPEN)
    return small_day


@pytest.fixture
def too_short(one_session: Session) -> Session:
    """The same, planned: much of the weeding does not fit."""
    plan_season(season_id=one_session.season_id, at=NOW, limits=Limits(seconds=3))
    return one_session


def begin(client: Client, **sent: str) -> str:
    return client.post(PAGE, sent, follow=True).content.decode()


def made_running(session: Session, kind: str = "changes") -> SearchRun:
    began = NOW - timedelta(seconds=5)
    return SearchRun.objects.create(
        site=session.season.site, kind=kind, season=session.season, state="running", seconds=60,
        seed=1, requested_at=began, started_at=began, heartbeat_at=NOW, worker="w1",
        requested_by=User.objects.get(email=COORDINATOR),
        stages=[{"stage": "season changes", "value": 3, "bound": 9, "seconds": 2.0, "said": SAID}],
    )  # fmt: skip


def test_a_season_too_short_is_told_what_another_session_brings(
    sign_in: SignIn, too_short: Session
) -> None:
    kept = list(PlannedWork.objects.values_list("task", "units"))

    text = begin(sign_in(COORDINATOR))

    run = SearchRun.objects.get()
    assert (run.kind, run.state, run.seconds) == ("changes", "ended", 6.0)
    assert "These changes were tried and gain" in text
    told = run.answer["told"]
    assert f"{len(told['changes'])} of {told['tried']} changes tried gain." in text
    assert "session" in text.split("<tbody>")[1].lower()
    assert "No search worker is running on this server" in text
    assert "out of date" not in text
    assert list(PlannedWork.objects.values_list("task", "units")) == kept


def test_gains_are_real_and_the_most_comes_first(too_short: Session) -> None:
    answered = search_season_changes(
        season_id=too_short.season_id, at=NOW, limits=Limits(seconds=6)
    )

    found = answered.told
    assert not found.is_all_planned
    assert found.changes
    assert found.tried >= len(found.changes)
    assert all(change.gain_h > 0 and change.work for change in found.changes)


def test_a_season_with_all_its_work_planned_has_nothing_to_try(
    sign_in: SignIn, small_day: Session
) -> None:
    plan_season(season_id=small_day.season_id, at=NOW, limits=Limits(seconds=3))

    assert "All the open work is planned" in begin(sign_in(COORDINATOR))


@pytest.mark.usefixtures("worker")
def test_it_is_left_to_the_worker_and_its_answer_is_kept_with_its_time(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)

    begun = begin(client, seconds="7")
    assert "waiting</span>" in begun
    assert "Changes that make room are being tried" in begun
    assert "Try the changes" not in begun

    run = carry_out_as_worker()
    page = text_of(client, PAGE)
    assert (run.state, run.kind, run.worker, run.seconds) == ("ended", "changes", "w1", 7.0)
    assert run.stages[0]["stage"] == "season as it is"
    assert "Found Mon 1 February 2027" in page
    assert f"asked for by {COORDINATOR}" in page
    assert "These changes were tried and gain" in page
    assert "Try the changes again" in page
    assert "These changes were tried and gain" in text_of(client, PAGE)  # a reload shows the same
    assert SeasonPlan.objects.count() == 1


@pytest.mark.usefixtures("worker")
def test_two_presses_are_one_search(sign_in: SignIn, too_short: Session) -> None:
    client = sign_in(COORDINATOR)
    begin(client)

    page = begin(client)

    assert SearchRun.objects.count() == 1
    assert "A search is under way already, so no other was begun." in page


@pytest.mark.usefixtures("worker")
def test_there_is_one_at_a_time_for_a_season_and_each_page_says_which(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{SEASON_PAGE}plan/", {"seconds": "120"})

    before, page = text_of(client, PAGE), begin(client)
    assert "another search of this season is under way: season plan" in before
    assert f'href="{SEASON_PAGE}"' in before
    assert "Another search of this season is under way (season plan)" in page
    assert SearchRun.objects.get().kind == "season"

    SearchRun.objects.all().delete()
    begin(client)
    season = text_of(client, SEASON_PAGE)
    again = client.post(f"{SEASON_PAGE}plan/", follow=True).content.decode()
    assert "another search of this season is under way: changes that make room" in season
    assert f'href="{PAGE}">See how far it is' in season
    assert "Plan the season again" not in season.split("</h1>")[1]
    assert "Another search of this season is under way (changes that make room)" in again
    assert SearchRun.objects.get().kind == "changes"
    assert "See how far it is</a>" not in text_of(sign_in(LEAD), SEASON_PAGE)


@pytest.mark.usefixtures("worker")
def test_progress_is_told_in_words(sign_in: SignIn, too_short: Session) -> None:
    made_running(too_short)

    page = text_of(sign_in(COORDINATOR), PAGE)
    part = text_of(sign_in(COORDINATOR), f"{PAGE}search/", **HTMX)

    for shown in (page, part):
        assert "Trying one change after another" in shown
        assert SAID in shown
        assert "5 of at most 60 s" in shown
    assert "Stop and keep what is known so far" in page
    assert part.strip().startswith('<div id="search-live"')
    assert sign_in(COORDINATOR).get(f"{PAGE}search/").headers["Location"] == f"{PAGE}#search"


@pytest.mark.usefixtures("worker")
def test_it_is_stopped_from_its_own_page_only(sign_in: SignIn, too_short: Session) -> None:
    client, run = sign_in(COORDINATOR), made_running(too_short)
    client.post(f"{SEASON_PAGE}search/stop/")
    run.refresh_from_db()
    assert run.state == "running"

    client.post(f"{PAGE}search/stop/")
    run.refresh_from_db()
    assert run.state == "stopping"

    run.delete()
    plan = made_running(too_short, "season")
    client.post(f"{PAGE}search/stop/")
    plan.refresh_from_db()
    assert plan.state == "running"


@pytest.mark.usefixtures("worker")
def test_a_stop_keeps_what_was_tried_so_far(
    sign_in: SignIn, too_short: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, seconds="20")
    press_when_heard(monkeypatch, 3, lambda: client.post(f"{PAGE}search/stop/"))
    run = carry_out_as_worker()

    told = run.answer["told"]
    assert run.state == "ended"
    assert told["tried"] == 1
    assert told["not_tried"] > 0
    assert f"Time did not allow to try {told['not_tried']} more of these." in text_of(client, PAGE)


def test_a_search_told_to_stop_before_anything_was_tried_says_so(too_short: Session) -> None:
    answered = search_season_changes(
        season_id=too_short.season_id,
        at=NOW,
        limits=Limits(seconds=20),
        watch=Watch(None, lambda: True),
    )

    assert (answered.told.tried, answered.told.changes) == (0, ())
    assert answered.told.not_tried > 0


@pytest.mark.usefixtures("worker")
def test_a_worker_that_was_killed_leaves_it_lost_and_another_may_begin(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    begin(client)
    silent = NOW - timedelta(minutes=5)
    SearchRun.objects.update(state="running", worker="w1", started_at=silent, heartbeat_at=silent)
    SearchWorker.objects.update(beat_at=silent)
    assert "lost</span>" in text_of(client, PAGE)

    begin(client)

    states = SearchRun.objects.order_by("pk").values_list("state", flat=True)
    assert list(states) == ["lost", "ended"]


def test_a_search_whose_worker_died_while_it_waited_is_carried_out_in_the_page(
    sign_in: SignIn, too_short: Session, worker: SearchWorker
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, seconds="300")
    worker.delete()
    assert "Search here for 6 s" in text_of(client, PAGE)

    done = client.post(f"{PAGE}search/here/", follow=True).content.decode()

    assert "These changes were tried and gain" in done
    assert SearchRun.objects.get().seconds == 6.0


def test_an_answer_of_another_season_is_said_to_be_out_of_date(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    begin(client)
    why = "Sign-ups, work, stock or sessions ahead have changed since."
    assert why not in text_of(client, PAGE)

    SignUp.objects.filter(session=too_short, person__code="P05").delete()
    page = text_of(client, PAGE)

    assert "this answer is out of date." in page
    assert why in page
    assert "Another plan was taken since." not in page
    assert "These changes were tried and gain" in page


def test_an_answer_of_another_plan_is_said_to_be_out_of_date(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    begin(client)

    plan_season(season_id=too_short.season_id, at=NOW, limits=Limits(seconds=2))

    assert "Another plan was taken since." in text_of(client, PAGE)


def test_an_answer_of_a_season_that_is_over_is_said_to_be_out_of_date(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    begin(client)

    Session.objects.update(state=Session.State.CALLED_OFF)
    page = text_of(client, PAGE)

    assert "this answer is out of date." in page
    assert "has no session ahead" in page


@pytest.mark.usefixtures("worker")
def test_what_became_impossible_before_its_turn_is_said_and_the_answer_before_stays(
    sign_in: SignIn, too_short: Session
) -> None:
    client = sign_in(COORDINATOR)
    begin(client)
    carry_out_as_worker()
    begin(client)
    SeasonPlan.objects.all().delete()

    run = carry_out_as_worker()
    page = text_of(client, PAGE)

    assert run.state == "failed"
    assert "The season is not planned yet. Plan it first." in page
    assert "What is below is from before." in page
    assert "These changes were tried and gain" in page


def test_without_a_plan_or_with_one_that_fits_no_more_a_sentence_answers(
    sign_in: SignIn, one_session: Session
) -> None:
    client = sign_in(COORDINATOR)
    assert "Nothing was tried. The season is not planned yet." in begin(client)

    plan = SeasonPlan.objects.create(
        season=one_session.season, made_at=NOW, status="good", seconds=1, seed=1, engine="1"
    )
    for task in Task.objects.filter(kind="weed"):
        PlannedWork.objects.create(
            season_plan=plan, session=one_session, task=task, units=task.units, required=True
        )

    assert "does not fit the season any more" in begin(client)
    assert not SearchRun.objects.exists()


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [({"seconds": "0"}, "greater than or equal to 1"), ({"seconds": "999"}, "is longer than the")],
)
def test_seconds_that_cannot_be_are_refused_beside_the_field(
    sign_in: SignIn, too_short: Session, sent: dict[str, str], sentence: str
) -> None:
    assert sentence in begin(sign_in(COORDINATOR), **sent)
    assert not SearchRun.objects.exists()


def test_looking_tries_nothing_and_only_coordinators_look(
    sign_in: SignIn, small_day: Session
) -> None:
    run = made_running(small_day)
    text = text_of(sign_in(COORDINATOR), PAGE)
    assert "What would make more fit" in text
    assert 'id="found"' not in text
    for who in (LEAD, VOLUNTEER, STRANGER):
        client = sign_in(who)
        assert client.get(PAGE).status_code == HTTPStatus.NOT_FOUND
        assert client.post(PAGE).status_code == HTTPStatus.NOT_FOUND
        assert client.get(f"{PAGE}search/", **HTMX).status_code == HTTPStatus.NOT_FOUND
        for press in ("stop", "here"):
            assert client.post(f"{PAGE}search/{press}/").status_code == HTTPStatus.NOT_FOUND
    elsewhere = PAGE.replace("traverser-yard", "elsewhere")
    assert sign_in(COORDINATOR).get(elsewhere).status_code == HTTPStatus.NOT_FOUND
    assert sign_in(COORDINATOR).post(f"{elsewhere}search/stop/").status_code == HTTPStatus.NOT_FOUND
    run.refresh_from_db()
    assert run.state == "running"


def test_the_season_page_leads_there_where_work_is_left_out(
    sign_in: SignIn, too_short: Session
) -> None:
    link = f'<a href="{PAGE}">What would make more fit</a>'
    assert link in text_of(sign_in(COORDINATOR), SEASON_PAGE)
    assert link not in text_of(sign_in(LEAD), SEASON_PAGE)
