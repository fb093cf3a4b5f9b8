"""Asks for searches, stops them, and finds those whose worker died.

Front doors: `start_roster_run`, `start_season_run`, `start_answer_run`,
`start_season_answer_run`, `take_over`, `ask_stop` and `sweep_lost`. One search at a time
per session and per season, of whatever kind: whoever asks while one is under way is shown
that one.
"""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from django.db import IntegrityError, transaction
from django.db.models import Q

from scheduling.domain.errors import SearchRefused
from scheduling.models import SearchRun, SearchWorker, Season, Session
from scheduling.queries.runs import (
    count_most_seconds,
    is_lost,
    is_worker_alive,
)
from scheduling.queries.season_problems import load_open_season
from scheduling.services.rosters import load_hopeful_problem
from scheduling.services.search_tasks import carry_out_search

GIVEN_UP = "It was given up before anybody took it up."
LOST = (
    "Its process ended without a word, so nothing was kept of it. What was kept before is as it "
    "was; search again."
)
FORGET_WORKERS_AFTER = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class RunReceipt:
    """Which search there is now; whether this press began it; whether the page must carry it out.

    `is_here` means that no worker lives: whoever asked calls `searches.carry_out`.
    `other` is in words what is searched instead, where that is something else; `owner`
    is what there is one search of at a time.
    """

    run_id: int
    is_new: bool
    is_here: bool
    other: str = ""
    owner: str = "session"


@dataclass(frozen=True, slots=True)
class _Wish:
    """What a search is of, and how it is wished."""

    kind: SearchRun.Kind
    site_id: int
    session_id: int | None
    season_id: int | None
    seconds: float
    seed: int
    by: int | None
    at: datetime
    asked: dict[str, Any] = field(default_factory=dict)


def start_roster_run(
    *, session_id: int, seconds: float, seed: int, by: int | None, at: datetime
) -> RunReceipt:
    """Ask for a search of a session's roster, or return the one under way.

    Args:
        session_id: The session.
        seconds: How long to search at most; without a worker no longer than a page may wait.
        seed: Of the search, kept with it.
        by: The account that asks.
        at: Now, aware.

    Raises:
        PlannerError: If no search could answer: nobody comes, nothing is planned,
            or fixed places contradict a rule.
    """
    session = Session.objects.select_related("season").get(pk=session_id)
    wish = _Wish(
        SearchRun.Kind.ROSTER, session.season.site_id, session_id, None, seconds, seed, by, at
    )
    under_way = _find_under_way(wish)
    if under_way is not None:
        return _join(wish, under_way)
    load_hopeful_problem(session_id)
    return _start_for_session(wish, session_id)


def start_answer_run(
    *,
    kind: str,
    session_id: int,
    asked: dict[str, Any],
    seconds: float,
    seed: int,
    by: int | None,
    at: datetime,
) -> RunReceipt:
    """Ask for an answer about a session's day, or return the search under way.

    Whether it can be asked at all is the caller's to find out first.

    Args:
        kind: A chance, a repair, one more of each, spare hands.
        session_id: The session.
        asked: What more belongs to the question, as it is kept.
        seconds: How long to search at most; without a worker no longer than a page may wait.
        seed: Of the search, kept with it.
        by: The account that asks.
        at: Now, aware.
    """
    session = Session.objects.select_related("season").get(pk=session_id)
    site_id = session.season.site_id
    wish = _Wish(
        SearchRun.Kind(kind), site_id, session_id, None, seconds, seed, by, at, asked=asked
    )
    return _start_for_session(wish, session_id)


def start_season_run(
    *, season_id: int, seconds: float, seed: int, by: int | None, at: datetime
) -> RunReceipt:
    """Ask for a search of a season plan, or return the one under way.

    Raises:
        PlannerError: If there is nothing to plan: the message says what is missing.
    """
    season = Season.objects.get(pk=season_id)
    wish = _Wish(SearchRun.Kind.SEASON, season.site_id, None, season_id, seconds, seed, by, at)
    under_way = _find_under_way(wish)
    if under_way is not None:
        return _join(wish, under_way)
    load_open_season(season_id, at=at)
    return _start_for_season(wish, season_id)


def start_season_answer_run(
    *, kind: str, season_id: int, seconds: float, seed: int, by: int | None, at: datetime
) -> RunReceipt:
    """Ask for an answer about a season, or return the search under way.

    Whether it can be asked at all is the caller's to find out first.

    Args:
        kind: Changes that make room.
        season_id: The season.
        seconds: How long to search at most; without a worker no longer than a page may wait.
        seed: Of the search, kept with it.
        by: The account that asks.
        at: Now, aware.
    """
    season = Season.objects.get(pk=season_id)
    wish = _Wish(SearchRun.Kind(kind), season.site_id, None, season_id, seconds, seed, by, at)
    return _start_for_season(wish, season_id)


def take_over(*, run_id: int, at: datetime) -> bool:
    """Take a waiting search over to carry it out inside a page; false if a worker has it by now."""
    run = SearchRun.objects.filter(pk=run_id, state=SearchRun.State.WAITING).first()
    if run is None:
        return False
    taken = SearchRun.objects.filter(pk=run_id, state=SearchRun.State.WAITING).update(
        state=SearchRun.State.RUNNING,
        seconds=min(run.seconds, count_most_seconds(run.kind, has_worker=False)),
        started_at=at,
        heartbeat_at=at,
    )
    return taken == 1


def ask_stop(*, run_id: int, at: datetime) -> None:
    """Stop a search: one that waits is over, one under way soon keeps its best so far."""
    run = SearchRun.objects.filter(pk=run_id)
    given_up = run.filter(state=SearchRun.State.WAITING).update(
        state=SearchRun.State.ENDED, ended_at=at, messages=[GIVEN_UP]
    )
    if not given_up:
        run.filter(state=SearchRun.State.RUNNING).update(state=SearchRun.State.STOPPING)


def sweep_lost(*, at: datetime) -> int:
    """Write off every search whose process fell silent, so that a new one can begin."""
    SearchWorker.objects.filter(beat_at__lt=at - FORGET_WORKERS_AFTER).delete()
    under_way = SearchRun.objects.filter(state__in=SearchRun.ACTIVE).order_by("pk")
    return sum(_write_off(run, at) for run in under_way if is_lost(run, at))


def beat(*, worker: str, at: datetime) -> None:
    """Note that a worker is alive."""
    SearchWorker.objects.update_or_create(
        name=worker, defaults={"beat_at": at}, create_defaults={"beat_at": at, "started_at": at}
    )


def end_worker(*, worker: str) -> None:
    """Note that a worker ended as it should."""
    SearchWorker.objects.filter(name=worker).delete()


def _start_for_session(wish: _Wish, session_id: int) -> RunReceipt:
    with transaction.atomic():
        Session.objects.select_for_update().get(pk=session_id)
        return _start(wish)


def _start_for_season(wish: _Wish, season_id: int) -> RunReceipt:
    with transaction.atomic():
        Season.objects.select_for_update().get(pk=season_id)
        return _start(wish)


def _join(wish: _Wish, under_way: SearchRun) -> RunReceipt:
    """Return the search under way as the answer to a wish, which may be for something else."""
    other = "" if under_way.kind == wish.kind else str(SearchRun.Kind(under_way.kind).label)
    owner = "season" if wish.session_id is None else "session"
    return RunReceipt(under_way.pk, is_new=False, is_here=False, other=other, owner=owner)


def _start(wish: _Wish) -> RunReceipt:
    """Begin the search, or join one that somebody else began; called with its owner locked."""
    under_way = _find_under_way(wish)
    if under_way is not None:
        return _join(wish, under_way)
    has_worker = is_worker_alive(wish.at)
    try:
        with transaction.atomic():
            run = _create(wish, has_worker=has_worker)
    except IntegrityError as clash:
        under_way = _find_under_way(wish)
        if under_way is None:
            raise SearchRefused(
                "The search could not begin just now. Reload the page and press again."
            ) from clash
        return _join(wish, under_way)
    if has_worker:
        # The task's row stands in the same transaction: there is never one without the other.
        carry_out_search.enqueue(run.pk)
    return RunReceipt(run.pk, is_new=True, is_here=not has_worker)


def _create(wish: _Wish, *, has_worker: bool) -> SearchRun:
    """Keep the wish; without a worker it is under way at once, inside the page that asked."""
    return SearchRun.objects.create(
        site_id=wish.site_id,
        kind=wish.kind,
        session_id=wish.session_id,
        season_id=wish.season_id,
        state=SearchRun.State.WAITING if has_worker else SearchRun.State.RUNNING,
        seconds=min(wish.seconds, count_most_seconds(wish.kind, has_worker=has_worker)),
        seed=wish.seed,
        asked=wish.asked,
        requested_by_id=wish.by,
        requested_at=wish.at,
        started_at=None if has_worker else wish.at,
        heartbeat_at=None if has_worker else wish.at,
    )


def _find_under_way(wish: _Wish) -> SearchRun | None:
    """Return the search that waits or runs, after writing off one whose process is silent."""
    is_of_season = wish.session_id is None
    of_it = Q(season_id=wish.season_id) if is_of_season else Q(session_id=wish.session_id)
    run = SearchRun.objects.filter(of_it, state__in=SearchRun.ACTIVE).first()
    if run is None or not is_lost(run, wish.at):
        return run
    _write_off(run, wish.at)
    return None


def _write_off(run: SearchRun, at: datetime) -> int:
    """Mark a search as lost unless it gave a sign of life just now; return how many were marked."""
    still_silent = SearchRun.objects.filter(
        pk=run.pk, state=run.state, heartbeat_at=run.heartbeat_at
    )
    return still_silent.update(state=SearchRun.State.LOST, ended_at=at, messages=[LOST])
