"""Two coordinators press at the same moment, on SQLite and PostgreSQL; and a real worker process.

Threads and processes need a committed database, so each of these tests loads the
season and the database is emptied after it.
"""

import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from threading import Barrier
from time import monotonic, sleep

import pytest
from django.db import connection
from django.utils import timezone
from pytest_django import Settings

from orchard.models import Plan, Task
from orchard.services.tasks import publish_tasks
from scheduling.domain.planner.progress import Progress
from scheduling.models import (
    PlannedWork,
    Roster,
    SearchRun,
    SearchWorker,
    SeasonPlan,
    Session,
)
from scheduling.queries.runs import find_newest_run, is_worker_alive
from scheduling.services.day_questions import Asker
from scheduling.services.import_season import import_folder
from scheduling.services.runs import ask_stop, beat, start_roster_run, start_season_run, sweep_lost
from scheduling.services.searches import carry_out, claim_run
from scheduling.services.season_questions import ask_for_season_changes
from tests.conftest import FIXTURES

PRESSES = 12

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(params=["here", pytest.param("postgresql", marks=pytest.mark.postgres)])
def session(request: pytest.FixtureRequest, now: datetime) -> Session:
    """S02 with work planned for it, on the database the tests run on."""
    if request.param != "here":
        assert connection.vendor == request.param, "Run this with .ci/with_postgres."
    import_folder(FIXTURES, at=now)
    publish_tasks(plan_id=Plan.objects.get().pk, on=now.date())
    session = Session.objects.get(code="S02")
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=now, status="good", seconds=1, seed=1, engine="by hand"
    )
    for key in ("GRO-A-1", "RNG-A-1", "COR-P4-1", "BKF-P4-1"):
        task = Task.objects.get(key=key)
        PlannedWork.objects.create(
            season_plan=plan, session=session, task=task, units=min(task.units, 20), required=True
        )
    return session


def all_at_once(press: Callable[[], object], times: int) -> list:
    """Press in so many threads at one barrier; any error is raised."""
    barrier = Barrier(times)

    def press_now(_number: int):
        try:
            connection.ensure_connection()
            barrier.wait(timeout=30)
            return press()
        finally:
            connection.close()

    with ThreadPoolExecutor(times) as pool:
        return list(pool.map(press_now, range(times)))


def ask(session: Session, *, seconds: float = 60, at: datetime | None = None):
    return start_roster_run(
        session_id=session.pk, seconds=seconds, seed=1, by=None, at=at or timezone.now()
    )


@pytest.mark.parametrize("has_worker", [True, False])
def test_of_searches_begun_at_once_there_is_one(
    session: Session, now: datetime, has_worker: bool
) -> None:
    if has_worker:
        beat(worker="w1", at=now)

    receipts = all_at_once(lambda: ask(session, at=now), PRESSES)

    run = SearchRun.objects.get()
    assert {receipt.run_id for receipt in receipts} == {run.pk}
    assert sum(receipt.is_new for receipt in receipts) == 1
    assert sum(receipt.is_here for receipt in receipts) == (not has_worker)


def test_of_season_searches_begun_at_once_there_is_one(session: Session, now: datetime) -> None:
    beat(worker="w1", at=now)

    def press():
        return start_season_run(season_id=session.season_id, seconds=5, seed=1, by=None, at=now)

    receipts = all_at_once(press, PRESSES // 3)

    assert {receipt.run_id for receipt in receipts} == {SearchRun.objects.get().pk}
    assert sum(receipt.is_new for receipt in receipts) == 1


def test_of_two_kinds_asked_of_a_season_at_once_there_is_one(
    session: Session, now: datetime
) -> None:
    beat(worker="w1", at=now)
    asker = Asker(seconds=5, seed=1, by=None, at=now)
    presses = iter(range(4))

    def press():
        if next(presses) % 2:
            return ask_for_season_changes(season_id=session.season_id, asker=asker)
        return start_season_run(season_id=session.season_id, seconds=5, seed=1, by=None, at=now)

    receipts = all_at_once(press, 4)

    assert {receipt.run_id for receipt in receipts} == {SearchRun.objects.get().pk}
    assert sum(receipt.is_new for receipt in receipts) == 1
    assert sum(bool(receipt.other) for receipt in receipts) == 2
    assert {receipt.owner for receipt in receipts if receipt.other} == {"season"}


def test_of_workers_that_take_one_up_at_once_one_gets_it(session: Session, now: datetime) -> None:
    beat(worker="w1", at=now)
    run_id = ask(session, at=now).run_id

    taken = all_at_once(lambda: claim_run(run_id=run_id, worker="w1", at=now), PRESSES)

    assert sorted(taken) == [False] * (PRESSES - 1) + [True]


def test_a_search_runs_and_writes_its_progress_outside_any_transaction(
    session: Session, now: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    looks: list[bool] = []
    from scheduling.services.searches import RunWatch

    real = RunWatch.should_stop

    def look(watch: RunWatch) -> bool:
        looks.append(connection.in_atomic_block)
        watch.on_progress(Progress("comfort", 1, 2, 0.1))
        return real(watch)

    monkeypatch.setattr(RunWatch, "should_stop", look)
    carry_out(run_id=ask(session, seconds=2, at=now).run_id, now=lambda: now)

    assert looks
    assert not any(looks)
    assert Roster.objects.filter(session=session).count() == 1


# --- a worker in a process of its own -------------------------------------------------------------


def database_url() -> str:
    """Return the address of the test database, for another process."""
    known = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{known['NAME']}"
    where = f"{known['HOST']}:{known['PORT']}/{known['NAME']}"
    return f"postgres://{known['USER']}:{known['PASSWORD']}@{where}"


@pytest.fixture
def workers(session: Session, settings: Settings) -> Iterator[Callable[[], subprocess.Popen]]:
    """Return what starts a worker and waits for its first sign of life; all end with the test."""
    started: list[subprocess.Popen] = []

    def start() -> subprocess.Popen:
        worker = subprocess.Popen(
            [sys.executable, "manage.py", "search_worker"],
            cwd=settings.BASE_DIR,
            env={**os.environ, "ORCHARD_DATABASE_URL": database_url()},
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
        )
        started.append(worker)
        wait_until(lambda: is_worker_alive(timezone.now()))
        return worker

    yield start
    for worker in started:
        worker.kill()
        worker.communicate()


def wait_until(met: Callable[[], bool], seconds: float = 30) -> None:
    deadline = monotonic() + seconds
    while not met():
        assert monotonic() < deadline, "It did not happen in time."
        sleep(0.02)


def state_of(session: Session) -> str:
    run = find_newest_run(at=timezone.now(), session_id=session.pk)
    assert run is not None
    return run.state


def test_a_worker_searches_is_stopped_keeps_its_best_and_ends_when_told(
    session: Session, workers: Callable[[], subprocess.Popen]
) -> None:
    worker = workers()
    receipt = ask(session)
    assert not receipt.is_here
    wait_until(lambda: state_of(session) == "running")
    wait_until(lambda: bool(SearchRun.objects.get().stages) or state_of(session) == "ended")

    asked = monotonic()
    ask_stop(run_id=receipt.run_id, at=timezone.now())
    wait_until(lambda: state_of(session) == "ended")

    assert monotonic() - asked < 10  # one to two seconds by itself; the test shares its machine
    run = SearchRun.objects.get()
    assert run.roster_id == Roster.objects.get(session=session).pk
    assert run.worker == SearchWorker.objects.get().name

    worker.send_signal(signal.SIGTERM)
    assert worker.wait(timeout=20) == 0
    assert not SearchWorker.objects.exists()


def test_a_worker_tries_a_seasons_changes_and_a_stop_keeps_those_tried(
    session: Session, workers: Callable[[], subprocess.Popen]
) -> None:
    workers()
    asker = Asker(seconds=200, seed=1, by=None, at=timezone.now())
    assert not ask_for_season_changes(season_id=session.season_id, asker=asker).is_here
    wait_until(lambda: bool(SearchRun.objects.get().stages))

    ask_stop(run_id=SearchRun.objects.get().pk, at=timezone.now())
    wait_until(lambda: SearchRun.objects.get().state == "ended")

    run = SearchRun.objects.get()
    assert run.worker == SearchWorker.objects.get().name
    assert run.answer["told"]["not_tried"] > 0
    assert run.found_seconds < 100


def test_a_worker_told_to_end_hands_over_the_best_so_far(
    session: Session, workers: Callable[[], subprocess.Popen]
) -> None:
    worker = workers()
    ask(session)
    wait_until(lambda: bool(SearchRun.objects.get().stages) or state_of(session) == "ended")

    worker.send_signal(signal.SIGTERM)

    assert worker.wait(timeout=20) == 0
    assert SearchRun.objects.get().state == SearchRun.State.ENDED
    assert Roster.objects.filter(session=session).count() == 1


def test_a_worker_killed_leaves_a_search_that_is_lost_and_a_new_one_begins(
    session: Session, workers: Callable[[], subprocess.Popen]
) -> None:
    worker = workers()
    ask(session)
    wait_until(lambda: state_of(session) == "running")

    worker.kill()
    worker.wait()
    later = timezone.now() + timedelta(seconds=20)

    assert sweep_lost(at=later) == 1
    assert SearchRun.objects.get().state == SearchRun.State.LOST
    assert not Roster.objects.filter(session=session).exists()
    again = ask(session, at=later)
    assert (again.is_new, again.is_here) == (True, True)


def test_a_worker_for_a_timer_carries_out_what_waits_and_ends(
    session: Session, settings: Settings
) -> None:
    beat(worker="w1", at=timezone.now())
    ask(session, seconds=2)

    subprocess.run(
        [sys.executable, "manage.py", "search_worker", "--batch"],
        cwd=settings.BASE_DIR,
        env={**os.environ, "ORCHARD_DATABASE_URL": database_url()},
        check=True,
        timeout=60,
        stdout=subprocess.DEVNULL,
    )

    assert SearchRun.objects.get().state == SearchRun.State.ENDED
    assert list(SearchWorker.objects.values_list("name", flat=True)) == ["w1"]


def test_a_worker_ends_with_the_process_it_stands_beside(
    session: Session, settings: Settings
) -> None:
    beside = (
        "import os, subprocess, sys, time\n"
        "subprocess.Popen([sys.executable, 'manage.py', 'search_worker', '--beside', "
        "str(os.getpid())], start_new_session=True)\n"
        "time.sleep(60)"
    )
    parent = subprocess.Popen(
        [sys.executable, "-c", beside],
        cwd=settings.BASE_DIR,
        env={**os.environ, "ORCHARD_DATABASE_URL": database_url()},
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    wait_until(lambda: is_worker_alive(timezone.now()))

    parent.kill()
    parent.wait()

    wait_until(lambda: not SearchWorker.objects.exists())


def test_the_demos_server_has_a_worker_beside_it_that_ends_with_it(
    session: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    from scheduling.management.commands.demo import search_worker

    monkeypatch.setenv("ORCHARD_DATABASE_URL", database_url())

    with search_worker():
        wait_until(lambda: is_worker_alive(timezone.now()))

    # Killed on a busy machine, its row stays until its last beat is old.
    wait_until(lambda: not is_worker_alive(timezone.now()))
