"""Searches asked for, carried out, stopped and lost; what they found kept, or nothing touched."""

from datetime import timedelta
from unittest import mock

import pytest
from django.db import IntegrityError, OperationalError, transaction
from pytest_django import Settings

from orchard.models import User
from scheduling.domain.errors import NobodyComing, NothingPlanned
from scheduling.domain.planner.day import solve_roster as REAL_SOLVER
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.progress import Progress
from scheduling.domain.roster import RosterResult, SolveStatus
from scheduling.domain.search_progress import STAGE_WORDS
from scheduling.models import Roster, SearchRun, SearchWorker, Session, SignUp
from scheduling.queries.rosters import find_current_roster
from scheduling.queries.runs import SILENT_SECONDS, find_newest_run, is_worker_alive
from scheduling.services.runs import (
    RunReceipt,
    ask_stop,
    beat,
    end_worker,
    start_roster_run,
    start_season_run,
    sweep_lost,
    take_over,
)
from scheduling.services.searches import BROKE_OFF, RunWatch, carry_out, claim_run
from tests.signed_in import COORDINATOR, NOW

SOLVER = "scheduling.domain.planner.day.solve_roster"
IMMEDIATE = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}


def after(seconds: float):
    return NOW + timedelta(seconds=seconds)


@pytest.fixture
def worker(db: None) -> None:
    """A worker that gave a sign of life just now; nothing takes its tasks up."""
    beat(worker="w1", at=NOW)


@pytest.fixture
def immediate(worker: None, settings: Settings) -> None:
    """A queue whose tasks are carried out as they are put in."""
    settings.TASKS = IMMEDIATE


def ask(session: Session, *, seconds: float = 2.0, at=NOW) -> RunReceipt:
    by = User.objects.get(email=COORDINATOR).pk
    return start_roster_run(session_id=session.pk, seconds=seconds, seed=7, by=by, at=at)


def seen(session: Session, at=NOW):
    return find_newest_run(at=at, session_id=session.pk)


def answer(status: SolveStatus, **known) -> RosterResult:
    return RosterResult(status, None, None, None, seconds=0.1, seed=7, **known)


@pytest.mark.usefixtures("immediate")
def test_a_search_in_the_queue_keeps_a_draft_and_all_that_was_asked(small_day: Session) -> None:
    receipt = ask(small_day)

    run = SearchRun.objects.get(pk=receipt.run_id)
    roster = Roster.objects.get(session=small_day)
    assert (receipt.is_new, receipt.is_here) == (True, False)
    assert (run.state, run.status, run.roster_id) == ("ended", "best", roster.pk)
    assert (run.kind, run.seconds, run.seed, run.site_id) == (
        "roster", 2.0, 7, small_day.season.site_id,
    )  # fmt: skip
    assert (run.requested_by, roster.made_by) == (roster.made_by, run.requested_by)
    assert (roster.seed, run.engine) == (7, roster.engine)
    assert run.stages
    assert {stage["stage"] for stage in run.stages} <= set(STAGE_WORDS)
    assert all(stage["value"] is not None for stage in run.stages)


def test_without_a_worker_the_search_is_for_the_page_and_short(
    small_day: Session, settings: Settings
) -> None:
    settings.ROSTER_SECONDS = 3
    receipt = ask(small_day, seconds=500)

    run = SearchRun.objects.get(pk=receipt.run_id)
    assert (receipt.is_here, run.state, run.seconds) == (True, "running", 3)

    carry_out(run_id=run.pk, now=lambda: after(2))

    run.refresh_from_db()
    assert (run.state, run.ended_at) == ("ended", after(2))
    assert Roster.objects.get(session=small_day).pk == run.roster_id


@pytest.mark.usefixtures("worker")
def test_with_a_worker_more_seconds_may_be_asked_for(
    small_day: Session, settings: Settings
) -> None:
    settings.SEARCH_SECONDS_MOST = 90
    receipt = ask(small_day, seconds=500)

    assert SearchRun.objects.get(pk=receipt.run_id).seconds == 90


@pytest.mark.usefixtures("worker")
def test_asking_twice_gives_one_search(small_day: Session) -> None:
    first, second = ask(small_day), ask(small_day)

    assert second == RunReceipt(first.run_id, is_new=False, is_here=False)
    assert SearchRun.objects.count() == 1


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize("state", SearchRun.ACTIVE)
def test_the_database_itself_holds_to_one_search_at_a_time(
    small_day: Session, state: SearchRun.State
) -> None:
    ask(small_day)
    another = SearchRun(
        site=small_day.season.site, kind="roster", session=small_day, state=state, seconds=1,
        seed=1, requested_at=NOW,
    )  # fmt: skip

    with pytest.raises(IntegrityError), transaction.atomic():
        another.save()


def test_what_no_search_could_answer_is_not_begun(small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()

    with pytest.raises(NobodyComing):
        ask(small_day)

    assert not SearchRun.objects.exists()


def test_a_season_without_open_work_is_not_searched(small_day: Session) -> None:
    Session.objects.update(starts_at=NOW)

    with pytest.raises(NothingPlanned):
        start_season_run(season_id=small_day.season_id, seconds=2, seed=1, by=None, at=NOW)

    assert not SearchRun.objects.exists()


@pytest.mark.parametrize(
    ("status", "known", "said"),
    [
        (SolveStatus.UNDECIDED, {}, "Nothing was found in time"),
        (SolveStatus.IMPOSSIBLE, {"conflicts": ("Ana is 9.",)}, "Ana is 9."),
    ],
)
def test_a_search_that_finds_nothing_says_so_and_the_last_roster_stays(
    small_day: Session, status: SolveStatus, known, said: str
) -> None:
    carry_out(run_id=ask(small_day).run_id, now=lambda: NOW)
    before = Roster.objects.get(session=small_day)

    receipt = ask(small_day, at=after(60))
    with mock.patch(SOLVER, return_value=answer(status, **known)):
        carry_out(run_id=receipt.run_id, now=lambda: after(62))

    run = seen(small_day, after(62))
    assert (run.state, run.status, run.roster_id) == ("ended", status.value, None)
    assert said in " ".join(run.messages)
    assert Roster.objects.get(session=small_day) == before
    assert Roster.objects.get(session=small_day).state == Roster.State.DRAFT


def test_a_fault_of_the_engine_is_told_logged_and_raised(
    small_day: Session, caplog: pytest.LogCaptureFixture
) -> None:
    receipt = ask(small_day)

    fault = EngineFault("It counts wrong.")
    with mock.patch(SOLVER, side_effect=fault), pytest.raises(EngineFault):
        carry_out(run_id=receipt.run_id, now=lambda: NOW)

    run = seen(small_day)
    assert (run.state, run.messages) == ("failed", (BROKE_OFF,))
    assert "It counts wrong." in caplog.text
    assert not Roster.objects.exists()


def test_what_became_hopeless_before_its_turn_is_said(small_day: Session) -> None:
    receipt = ask(small_day)
    SignUp.objects.filter(session=small_day).delete()

    carry_out(run_id=receipt.run_id, now=lambda: NOW)

    assert seen(small_day).state == "failed"
    assert "Nobody is signed up" in seen(small_day).messages[0]


@pytest.mark.usefixtures("worker")
def test_of_two_who_take_a_waiting_search_up_one_gets_it(small_day: Session) -> None:
    run_id = ask(small_day).run_id

    assert claim_run(run_id=run_id, worker="w1", at=NOW)
    assert not claim_run(run_id=run_id, worker="w2", at=NOW)
    assert not take_over(run_id=run_id, at=NOW)
    assert SearchRun.objects.get(pk=run_id).worker == "w1"


@pytest.mark.usefixtures("worker")
def test_a_waiting_search_may_be_taken_over_by_the_page(
    small_day: Session, settings: Settings
) -> None:
    settings.ROSTER_SECONDS = 2
    run_id = ask(small_day, seconds=60).run_id

    assert take_over(run_id=run_id, at=after(5))
    carry_out(run_id=run_id, now=lambda: after(6))

    run = SearchRun.objects.get(pk=run_id)
    assert (run.state, run.seconds, run.worker) == ("ended", 2, "")
    assert not claim_run(run_id=run_id, worker="w1", at=after(7))


@pytest.mark.usefixtures("worker")
def test_a_waiting_search_that_is_given_up_is_over_at_once(small_day: Session) -> None:
    run_id = ask(small_day).run_id

    ask_stop(run_id=run_id, at=after(1))

    assert seen(small_day).state == "ended"
    assert not claim_run(run_id=run_id, worker="w1", at=after(2))
    assert ask(small_day, at=after(3)).is_new


def test_a_stop_is_heard_at_the_next_look_and_what_was_found_is_kept(small_day: Session) -> None:
    receipt = ask(small_day)
    heard: list[bool] = []

    def stopped_after_finding(*args, should_stop, **known):
        found = REAL_SOLVER(*args, **known)
        heard.append(should_stop())
        ask_stop(run_id=receipt.run_id, at=NOW)
        with mock.patch("scheduling.services.searches.WRITE_SECONDS", 0):
            heard.append(should_stop())
        return found

    with mock.patch(SOLVER, side_effect=stopped_after_finding):
        carry_out(run_id=receipt.run_id, now=lambda: NOW)

    assert heard == [False, True]
    assert seen(small_day).state == "ended"
    assert seen(small_day).roster_id == Roster.objects.get(session=small_day).pk


def test_progress_is_written_at_most_about_once_a_second(
    small_day: Session, django_assert_num_queries
) -> None:
    watch = RunWatch(ask(small_day).run_id, lambda: after(1))

    with django_assert_num_queries(1):
        for number in range(50):
            watch.on_progress(Progress("comfort", number, 99, 0.1))
            assert not watch.should_stop()

    run = SearchRun.objects.get()
    assert run.heartbeat_at == after(1)
    assert run.stages[-1]["value"] == 0  # what was there at the one look
    assert watch.stages[-1].value == 49


def test_a_search_outlives_a_database_that_is_held_by_somebody_else(small_day: Session) -> None:
    watch = RunWatch(ask(small_day).run_id, lambda: NOW)

    held = mock.Mock(update=mock.Mock(side_effect=OperationalError("database is locked")))
    with mock.patch.object(SearchRun.objects, "filter", return_value=held):
        assert not watch.should_stop()


@pytest.mark.usefixtures("worker")
def test_a_search_whose_worker_died_is_lost_and_another_may_begin(small_day: Session) -> None:
    run_id = ask(small_day).run_id
    claim_run(run_id=run_id, worker="w1", at=NOW)
    just, late = after(SILENT_SECONDS), after(SILENT_SECONDS + 1)

    assert (seen(small_day, just).state, sweep_lost(at=just)) == ("running", 0)
    assert seen(small_day, late).state == "lost"
    assert not is_worker_alive(late)

    again = ask(small_day, at=late)

    assert again.is_new
    assert again.is_here
    assert SearchRun.objects.get(pk=run_id).state == SearchRun.State.LOST
    assert "nothing was kept" in SearchRun.objects.get(pk=run_id).messages[0]


@pytest.mark.usefixtures("worker")
def test_a_worker_that_beats_keeps_a_long_step_alive(small_day: Session) -> None:
    claim_run(run_id=ask(small_day).run_id, worker="w1", at=NOW)

    beat(worker="w1", at=after(300))

    assert sweep_lost(at=after(301)) == 0
    assert seen(small_day, after(301)).state == "running"


def test_a_page_that_died_is_given_its_own_seconds_before_it_is_lost(
    small_day: Session, settings: Settings
) -> None:
    settings.ROSTER_SECONDS = 8
    ask(small_day, seconds=8)

    assert sweep_lost(at=after(8 + SILENT_SECONDS)) == 0
    assert sweep_lost(at=after(8 + SILENT_SECONDS + 1)) == 1
    assert sweep_lost(at=after(8 + SILENT_SECONDS + 2)) == 0


def test_the_answer_of_a_search_written_off_as_lost_is_dropped(small_day: Session) -> None:
    """A machine that slept wakes up: another search may have begun since."""
    receipt = ask(small_day)

    def lost_meanwhile(*args, **known):
        found = REAL_SOLVER(*args, **known)
        assert sweep_lost(at=after(3600)) == 1
        return found

    with mock.patch(SOLVER, side_effect=lost_meanwhile):
        carry_out(run_id=receipt.run_id, now=lambda: NOW)

    assert not Roster.objects.exists()
    assert SearchRun.objects.get().state == SearchRun.State.LOST


def test_a_roster_of_a_day_that_changed_since_is_known_as_such(small_day: Session) -> None:
    carry_out(run_id=ask(small_day).run_id, now=lambda: NOW)
    current = find_current_roster(small_day.pk)
    assert seen(small_day).problem_digest == current.problem_digest

    SignUp.objects.filter(session=small_day).first().delete()

    assert seen(small_day).problem_digest != find_current_roster(small_day.pk).problem_digest


def test_workers_that_ended_or_were_silent_for_days_are_forgotten(db: None) -> None:
    beat(worker="w1", at=NOW)
    beat(worker="w2", at=NOW)
    end_worker(worker="w1")
    assert list(SearchWorker.objects.values_list("name", flat=True)) == ["w2"]

    sweep_lost(at=NOW + timedelta(days=2))

    assert not SearchWorker.objects.exists()


def test_a_search_is_of_a_session_or_of_a_season(small_day: Session) -> None:
    site = small_day.season.site
    known = {"site": site, "kind": "roster", "seconds": 1, "seed": 1, "requested_at": NOW}

    for whose in ({}, {"session": small_day, "season": small_day.season}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SearchRun.objects.create(**known, **whose)
