"""Reads sessions as their pages show them: when, which work, for whom, how hard."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from orchard.queries.tasks import load_tasks_by_id
from orchard.queries.written import WrittenQuery
from scheduling.domain.published import RoundTimes, SessionFacts, SiteFacts
from scheduling.models import PlannedWork, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_session_facts, load_site_facts
from scheduling.queries.session_rows import clock_of, day_of, get_session_row


@dataclass(frozen=True, slots=True)
class WorkLine:
    """One task the season plan gives to the session, and what it asks of those at it."""

    task_id: int
    title: str
    kind: str
    where: str
    units: int
    unit: str
    required: bool
    person_min: float
    minimum_age: int
    heavy: bool
    kneeling: bool
    skills: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SessionPage:
    """One session as its pages show it. Times are aware, in the site's zone."""

    id: int
    code: str
    title: str
    season_code: str
    season_name: str
    on: date
    starts_at: datetime
    ends_at: datetime
    rounds: tuple[RoundTimes, ...]
    round_minutes: int
    meeting_point: str
    bring: str
    capacity: int
    state: str
    state_words: str
    work: tuple[WorkLine, ...]

    @property
    def person_min(self) -> float:
        """Mean adult person-minutes of all the work."""
        return sum(line.person_min for line in self.work)

    @property
    def by_kind(self) -> tuple[tuple[str, int, str], ...]:
        """The work summed by kind and unit, in working order."""
        sums: dict[tuple[str, str], int] = {}
        for line in self.work:
            sums[line.kind, line.unit] = sums.get((line.kind, line.unit), 0) + line.units
        return tuple((kind, units, unit) for (kind, unit), units in sums.items())

    @property
    def youngest_age(self) -> int | None:
        """The lowest age that any of the work allows, or None while no work is planned."""
        return min((line.minimum_age for line in self.work), default=None)

    @property
    def kinds(self) -> tuple[str, ...]:
        """The kinds of work, in working order."""
        return tuple(dict.fromkeys(line.kind for line in self.work))

    @property
    def hardness(self) -> str:
        """How hard the work is, in a sentence."""
        heavy = sum(1 for line in self.work if line.heavy)
        kneeling = sum(1 for line in self.work if line.kneeling)
        if not self.work:
            return "The work is not planned yet."
        parts = [
            f"{count} of {len(self.work)} tasks {words}"
            for count, words in ((heavy, "mean lifting"), (kneeling, "mean kneeling"))
            if count
        ]
        return f"{' and '.join(parts)}." if parts else "No lifting and no kneeling."

    def is_open(self, at: datetime) -> bool:
        """Say whether people may still sign up or withdraw."""
        return self.starts_at > at and self.state not in (
            Session.State.DONE,
            Session.State.CALLED_OFF,
        )


def load_upcoming(site_id: int, *, at: datetime) -> tuple[SessionPage, ...]:
    """Return the site's sessions that have not begun and are not called off, soonest first."""
    rows = (
        Session.objects.filter(season__site_id=site_id, starts_at__gt=at)
        .exclude(state=Session.State.CALLED_OFF)
        .select_related("season__site")
        .order_by("starts_at", "pk")
    )
    return build_pages(rows)


@dataclass(frozen=True, slots=True)
class SessionKey:
    """Which session an address means, and its day where the site is."""

    id: int
    on: date


_KEY = WrittenQuery(
    lambda site_id, season, code: Session.objects.filter(
        season__site_id=site_id, season__code=season, code=code
    ).values_list("pk", "starts_at", "season__site__time_zone")
)


def find_session_key(*, site_id: int, season_code: str, code: str) -> SessionKey | None:
    """Return which session of the site this is, or None: for presses, which show nothing of it."""
    for number, starts_at, time_zone in _KEY.ask(site_id, season_code, code):
        return SessionKey(number, starts_at.astimezone(ZoneInfo(time_zone)).date())
    return None


def load_sessions_on(site_id: int, *, on: date) -> tuple[SessionPage, ...]:
    """Return the site's sessions of one day, at its own clock, that are not called off."""
    rows = (
        Session.objects.filter(
            season__site_id=site_id,
            starts_at__date__gte=on - timedelta(days=1),
            starts_at__date__lte=on + timedelta(days=1),
        )
        .exclude(state=Session.State.CALLED_OFF)
        .select_related("season__site")
        .order_by("starts_at", "pk")
    )
    return tuple(page for page in build_pages(rows) if page.on == on)


def find_session(*, site_id: int, season_code: str, code: str) -> SessionPage | None:
    """Return one session of the site, or None."""
    rows = Session.objects.filter(
        season__site_id=site_id, season__code=season_code, code=code
    ).select_related("season__site")
    pages = build_pages(rows)
    return pages[0] if pages else None


def find_newest_session(*, site_id: int, code: str) -> SessionPage | None:
    """Return the site's latest session with this code, whatever its season, or None."""
    rows = (
        Session.objects.filter(season__site_id=site_id, code=code)
        .select_related("season__site")
        .order_by("starts_at")
    )
    pages = build_pages(rows)
    return pages[-1] if pages else None


def load_session_for_calendar(session_id: int) -> tuple[SiteFacts, SessionFacts]:
    """Return what a calendar entry for anybody says about the session.

    Raises:
        SessionUnknown: If there is no such session.
    """
    row = get_session_row(session_id)
    return load_site_facts(row), load_session_facts(row, load_roster_problem(session_id))


def build_pages(sessions: Iterable[Session]) -> tuple[SessionPage, ...]:
    """Return sessions with the work the current season plan gives them, in the order given."""
    rows = list(sessions)
    work = _load_work(row.pk for row in rows)
    return tuple(_page(row, tuple(work[row.pk])) for row in rows)


def _load_work(session_ids: Iterable[int]) -> dict[int, list[WorkLine]]:
    planned = list(
        PlannedWork.objects.filter(
            session_id__in=sorted(session_ids), season_plan__current=True
        ).order_by("task__position", "task_id")
    )
    tasks = {kept.id: kept for kept in load_tasks_by_id(row.task_id for row in planned)}
    work: dict[int, list[WorkLine]] = defaultdict(list)
    for row in planned:
        task = tasks[row.task_id].task
        work[row.session_id].append(
            WorkLine(
                task_id=row.task_id,
                title=task.title,
                kind=task.kind,
                where=task.where,
                units=row.units,
                unit=task.unit,
                required=row.required,
                person_min=task.effort.mean_min * row.units,
                minimum_age=task.minimum_age,
                heavy=task.heavy,
                kneeling=task.kneeling,
                skills=tuple(need.skill for need in task.skills),
            )
        )
    return work


def _page(row: Session, work: tuple[WorkLine, ...]) -> SessionPage:
    clock = clock_of(row)
    return SessionPage(
        id=row.pk,
        code=row.code,
        title=row.title,
        season_code=row.season.code,
        season_name=row.season.name,
        on=day_of(row),
        starts_at=row.starts_at.astimezone(clock.ends_at().tzinfo),
        ends_at=clock.ends_at(),
        rounds=clock.round_times(),
        round_minutes=row.round_minutes,
        meeting_point=row.meeting_point,
        bring=row.bring,
        capacity=row.capacity,
        state=row.state,
        state_words=str(Session.State(row.state).label),
        work=work,
    )
