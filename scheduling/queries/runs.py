"""Reads searches as pages show them: how far, how good, how they ended, and whether a worker lives.

A search whose process fell silent is read as lost, whether or not anybody has
written that down yet, so that no page waits for what will never come.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.db.models import Q

from scheduling.domain.search_progress import StageSeen
from scheduling.models import SearchRun, SearchWorker

ROSTER, SEASON = SearchRun.Kind.ROSTER.value, SearchRun.Kind.SEASON.value
CHANCE, REPAIR = SearchRun.Kind.CHANCE.value, SearchRun.Kind.REPAIR.value
COSTS, SPARE = SearchRun.Kind.COSTS.value, SearchRun.Kind.SPARE.value
CHANGES = SearchRun.Kind.CHANGES.value
USUAL_SECONDS = {CHANCE: 20.0, REPAIR: 10.0, COSTS: 20.0, SPARE: 20.0, CHANGES: 20.0}
"""What a form suggests, and what a page may take by itself. Our choice: a day of 40 people has
its chance to a few percent in twenty seconds, and most repairs are proven in ten."""
BEAT_SECONDS = 3.0
SILENT_SECONDS = 15.0
"""A worker that gave no sign of life for so long is taken for dead. Our choice: five beats."""


@dataclass(frozen=True, slots=True)
class RunSeen:
    """A search as a page shows it. `state` is lost as soon as its process is silent too long."""

    id: int
    kind: str
    state: str
    seconds: float
    seed: int
    requested_by: str
    requested_at: datetime
    ended_at: datetime | None
    so_far_seconds: float
    stages: tuple[StageSeen, ...]
    status: str
    messages: tuple[str, ...]
    found_seconds: float | None
    roster_id: int | None
    plan_id: int | None
    engine: str
    problem_digest: str
    asked: dict[str, Any]
    answer: dict[str, Any] | None

    @property
    def kind_words(self) -> str:
        """What is searched, as a page says it."""
        return str(SearchRun.Kind(self.kind).label)

    @property
    def is_active(self) -> bool:
        """Whether it waits, searches or is being stopped."""
        return self.state in SearchRun.ACTIVE

    @property
    def is_waiting(self) -> bool:
        """Whether nobody took it up yet."""
        return self.state == SearchRun.State.WAITING

    @property
    def state_words(self) -> str:
        """The state as a page says it."""
        return str(SearchRun.State(self.state).label)

    @property
    def stage(self) -> StageSeen | None:
        """The stage under way, or None before the first answer."""
        return self.stages[-1] if self.stages else None

    @property
    def told(self) -> str:
        """A mark of what a listener has been told: another one is worth saying aloud."""
        return f"{self.state}-{len(self.stages)}"

    @property
    def said(self) -> str:
        """What a listener is told, in a sentence."""
        if self.stage is None or self.state != SearchRun.State.RUNNING:
            return f"{self.state_words.capitalize()}."
        return f"{self.stage.title}: {self.stage.worth}."

    @property
    def has_answer(self) -> bool:
        """Whether it brought a roster, a plan or an answer."""
        is_row = self.roster_id is not None or self.plan_id is not None
        return is_row or self.answer is not None


def find_newest_run(
    *,
    at: datetime,
    session_id: int | None = None,
    season_id: int | None = None,
    kinds: tuple[str, ...] = (),
    answered: bool = False,
) -> RunSeen | None:
    """Return the newest search of a session or a season, or None.

    Args:
        at: Now, aware.
        session_id: The session, or None for a season.
        season_id: The season.
        kinds: Of these kinds only; of any where none is named.
        answered: Only one with an answer kept in its row.
    """
    of_it = _owned_by(session_id, season_id)
    if kinds:
        of_it &= Q(kind__in=kinds)
    if answered:
        of_it &= Q(answer__isnull=False)
    row = (
        SearchRun.objects.filter(of_it)
        .select_related("requested_by")
        .order_by("-requested_at", "-pk")
        .first()
    )
    return None if row is None else _seen(row, at)


def find_other_run(
    *,
    at: datetime,
    session_id: int | None = None,
    season_id: int | None = None,
    kinds: tuple[str, ...],
) -> RunSeen | None:
    """Return the search under way for a session or a season that is of another kind, or None.

    There is one at a time: nothing else can begin before it ends.
    """
    row = (
        SearchRun.objects.filter(_owned_by(session_id, season_id), state__in=SearchRun.ACTIVE)
        .exclude(kind__in=kinds)
        .select_related("requested_by")
        .first()
    )
    seen = None if row is None else _seen(row, at)
    return seen if seen is not None and seen.is_active else None


def _owned_by(session_id: int | None, season_id: int | None) -> Q:
    return Q(season_id=season_id) if session_id is None else Q(session_id=session_id)


def is_worker_alive(at: datetime) -> bool:
    """Say whether any worker gave a sign of life lately."""
    since = at - timedelta(seconds=SILENT_SECONDS)
    return SearchWorker.objects.filter(beat_at__gt=since).exists()


def is_lost(row: SearchRun, at: datetime) -> bool:
    """Say whether whoever carries a search out has been silent for too long.

    A worker that beats is alive however long one step of the search takes. A
    search inside a page, or in a worker that does not beat, gives signs only
    between its steps, so it is given its own seconds besides.
    """
    if row.state not in (SearchRun.State.RUNNING, SearchRun.State.STOPPING):
        return False
    signs = [sign for sign in (row.started_at, row.heartbeat_at) if sign is not None]
    beat_at = SearchWorker.objects.filter(name=row.worker).values_list("beat_at", flat=True).first()
    patience = SILENT_SECONDS if beat_at else SILENT_SECONDS + row.seconds
    if beat_at:
        signs.append(beat_at)
    return bool(signs) and at - max(signs) > timedelta(seconds=patience)


def count_most_seconds(kind: str, *, has_worker: bool) -> float:
    """Return the longest search that may be asked for: short where a page has to wait for it."""
    usual = count_usual_seconds(kind)
    return max(usual, settings.SEARCH_SECONDS_MOST) if has_worker else usual


def count_usual_seconds(kind: str) -> float:
    """Return the seconds that a search form suggests."""
    if kind in USUAL_SECONDS:
        return USUAL_SECONDS[kind]
    is_season = kind == SearchRun.Kind.SEASON
    return float(settings.SEASON_SECONDS if is_season else settings.ROSTER_SECONDS)


def read_stages(kept: list[dict[str, object]]) -> tuple[StageSeen, ...]:
    """Return the stages of a search as they were written down."""
    return tuple(StageSeen(**stage) for stage in kept)  # type: ignore[arg-type]


def _seen(row: SearchRun, at: datetime) -> RunSeen:
    state = SearchRun.State.LOST if is_lost(row, at) else row.state
    began = row.started_at or row.requested_at
    until = row.ended_at or (at if row.state in SearchRun.ACTIVE else began)
    return RunSeen(
        id=row.pk,
        kind=row.kind,
        state=state,
        seconds=row.seconds,
        seed=row.seed,
        requested_by=row.requested_by.email if row.requested_by else "",
        requested_at=row.requested_at,
        ended_at=row.ended_at,
        so_far_seconds=max(0.0, (until - began).total_seconds()),
        stages=read_stages(row.stages),
        status=row.status,
        messages=tuple(row.messages),
        found_seconds=row.found_seconds,
        roster_id=row.roster_id,
        plan_id=row.plan_id,
        engine=row.engine,
        problem_digest=row.problem_digest,
        asked=row.asked,
        answer=row.answer,
    )
