"""Carries a search out: takes it up, writes its progress down, keeps what it found.

Front doors: `claim_run`, `carry_out`. The same for a worker's process and for a
search inside a page. Not for asking for one or stopping it: `runs` does that.
"""

import logging
from collections.abc import Callable
from dataclasses import asdict
from datetime import datetime
from threading import Event
from time import monotonic
from typing import Any

from django.db import OperationalError, transaction

from orchard.domain.errors import PlannerError
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.roster import RosterResult, SolveStatus
from scheduling.domain.search_progress import StageSeen, digest_problem, note_stage
from scheduling.domain.season import SeasonResult
from scheduling.models import SearchRun, Season, Session
from scheduling.queries.runs import CHANCE, CHANGES, COSTS, REPAIR, SPARE
from scheduling.services.answered import Answered, Watch
from scheduling.services.better_days import search_costs, search_spare
from scheduling.services.chances import search_chance
from scheduling.services.repairs import search_repair
from scheduling.services.rosters import keep_draft, search_roster
from scheduling.services.season_changes import search_season_changes
from scheduling.services.seasons import propose_plan, search_plan

Clock = Callable[[], datetime]

logger = logging.getLogger(__name__)

WRITE_SECONDS = 0.8  # between two looks at the row: a stop is heard within a second
WORKER_ENDS = Event()
"""Set when the process is told to end: its search stops and keeps the best so far."""

UNDECIDED = "Nothing was found in time, and nothing is proven impossible."
BROKE_OFF = (
    "The search broke off because of a fault in the program; it is in the server's log. What was "
    "kept before is as it was. Try once more, and report it if it happens again."
)
SAME_WORK = "It gives the same work to the same sessions as the plan before."
ENDED_EARLY = "The worker was told to end, so this search stopped early with the best so far."
ANSWERERS: dict[str, Callable[..., Answered]] = {
    CHANCE: search_chance,
    COSTS: search_costs,
}
"""What carries out a search that asks nothing but the session, its answer kept in its own row."""
ASKED_MORE: dict[str, Callable[..., Answered]] = {REPAIR: search_repair, SPARE: search_spare}
"""The same for searches that are told what was asked."""
OF_SEASON: dict[str, Callable[..., Answered]] = {CHANGES: search_season_changes}
"""The same for searches that ask about a season."""
UNDER_WAY = (SearchRun.State.RUNNING, SearchRun.State.STOPPING)


class RunWatch:
    """Listens to a search in the thread that called it, and writes to its row now and then.

    Writes are single short statements outside any transaction, at most one in
    `WRITE_SECONDS`, so nobody waits for them.
    """

    def __init__(self, run_id: int, now: Clock) -> None:
        self._run_id = run_id
        self._now = now
        self._last: float | None = None
        self._stop = False
        self.stages: tuple[StageSeen, ...] = ()

    def on_progress(self, heard: Progress) -> None:
        """Note a better answer."""
        self.stages = note_stage(self.stages, heard)
        self._look()

    def should_stop(self) -> bool:
        """Say whether somebody asked for a stop, or the run is not this process's any more."""
        self._look()
        return self._stop or WORKER_ENDS.is_set()

    def _look(self) -> None:
        if self._last is not None and monotonic() - self._last < WRITE_SECONDS:
            return
        self._last = monotonic()
        row = SearchRun.objects.filter(pk=self._run_id, state=SearchRun.State.RUNNING)
        try:
            written = row.update(heartbeat_at=self._now(), stages=write_stages(self.stages))
        except OperationalError:
            # Somebody held the database for too long; the search is worth more than one sign.
            logger.warning("Search %s could not write its progress; it goes on.", self._run_id)
        else:
            self._stop = written == 0


def write_stages(stages: tuple[StageSeen, ...]) -> list[dict[str, Any]]:
    """Return stages as they are written down."""
    return [asdict(stage) for stage in stages]


def claim_run(*, run_id: int, worker: str, at: datetime) -> bool:
    """Take a waiting search up; of several who try, one gets it."""
    waiting = SearchRun.objects.filter(pk=run_id, state=SearchRun.State.WAITING)
    taken = waiting.update(
        state=SearchRun.State.RUNNING, worker=worker, started_at=at, heartbeat_at=at
    )
    return taken == 1


def carry_out(*, run_id: int, now: Clock) -> None:
    """Search, and keep what was found together with how it ended.

    The search runs outside any transaction. Where somebody else has meanwhile
    written the run off as lost, its answer is dropped: another search may have
    begun since.
    """
    run = SearchRun.objects.filter(pk=run_id, state__in=UNDER_WAY).first()
    if run is None:
        return
    watch = RunWatch(run_id, now)
    limits = Limits(seconds=run.seconds, seed=run.seed)
    try:
        if run.kind in (*ASKED_MORE, *ANSWERERS, *OF_SEASON):
            _carry_out_answer(run, limits, watch, now)
        elif run.session_id is not None:
            _carry_out_roster(run, run.session_id, limits, watch, now)
        elif run.season_id is not None:
            _carry_out_season(run, run.season_id, limits, watch, now)
    except PlannerError as error:
        _end(run, watch, now(), state=SearchRun.State.FAILED, messages=[error.message])
    except BaseException:
        logger.exception("Search %s broke off.", run_id)
        _end(run, watch, now(), state=SearchRun.State.FAILED, messages=[BROKE_OFF])
        raise


def _carry_out_roster(
    run: SearchRun, session_id: int, limits: Limits, watch: RunWatch, now: Clock
) -> None:
    problem, result = search_roster(
        session_id=session_id,
        limits=limits,
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )
    with transaction.atomic():
        Session.objects.select_for_update().get(pk=session_id)
        if not _is_under_way(run):
            return
        kept = keep_draft(session_id=session_id, result=result, by=run.requested_by_id, at=now())
        ending = _ending(result, list(result.conflicts))
        _end(run, watch, now(), roster_id=kept, problem_digest=digest_problem(problem), **ending)


def _carry_out_season(
    run: SearchRun, season_id: int, limits: Limits, watch: RunWatch, now: Clock
) -> None:
    open_season, result = search_plan(
        season_id=season_id,
        at=now(),
        limits=limits,
        on_progress=watch.on_progress,
        should_stop=watch.should_stop,
    )
    with transaction.atomic():
        Season.objects.select_for_update().get(pk=season_id)
        if not _is_under_way(run):
            return
        kept = propose_plan(season_id=season_id, open_season=open_season, result=result, at=now())
        digest = digest_problem(open_season.problem, open_season.promised)
        messages = list(result.left_out) if kept is None else [SAME_WORK] * kept.is_same
        plan_id = None if kept is None else kept.id
        ending = _ending(result, messages)
        _end(run, watch, now(), plan_id=plan_id, problem_digest=digest, **ending)


def _carry_out_answer(run: SearchRun, limits: Limits, watch: RunWatch, now: Clock) -> None:
    """Ask about a session's day or a season and keep the answer in the row of the search itself."""
    heard = Watch(watch.on_progress, watch.should_stop)
    session_id = run.session_id
    if run.kind in OF_SEASON:
        answer = OF_SEASON[run.kind]
        found = answer(season_id=run.season_id, at=now(), limits=limits, watch=heard)
    elif run.kind in ASKED_MORE:
        answer = ASKED_MORE[run.kind]
        found = answer(session_id=session_id, limits=limits, asked=run.asked, watch=heard)
    else:
        found = ANSWERERS[run.kind](session_id=session_id, limits=limits, watch=heard)
    messages = [ENDED_EARLY] if WORKER_ENDS.is_set() else []
    columns = found.to_columns()
    with transaction.atomic():
        if not _is_under_way(run):
            return
        _end(run, watch, now(), state=SearchRun.State.ENDED, messages=messages, **columns)


def _ending(result: RosterResult | SeasonResult, messages: list[str]) -> dict[str, Any]:
    if result.status is SolveStatus.UNDECIDED:
        messages = [UNDECIDED, *messages]
    if WORKER_ENDS.is_set():
        messages = [*messages, ENDED_EARLY]
    return {
        "state": SearchRun.State.ENDED,
        "status": result.status,
        "found_seconds": result.seconds,
        "engine": result.engine,
        "messages": messages,
    }


def _is_under_way(run: SearchRun) -> bool:
    """Say whether the run is still this process's, and keep it so until the transaction ends."""
    return SearchRun.objects.select_for_update().filter(pk=run.pk, state__in=UNDER_WAY).exists()


def _end(run: SearchRun, watch: RunWatch, at: datetime, **known: Any) -> None:
    SearchRun.objects.filter(pk=run.pk, state__in=UNDER_WAY).update(
        ended_at=at, heartbeat_at=at, stages=write_stages(watch.stages), **known
    )
