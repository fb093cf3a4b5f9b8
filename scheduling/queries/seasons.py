"""Reads a season as its page shows it: one line a session, the plan's worth, sums at the foot."""

from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.attendance import Belief
from scheduling.models import Roster, Season, SeasonPlan, Session, SignUp
from scheduling.queries.attendance import load_belief
from scheduling.queries.class_counts import count_classes_coming
from scheduling.queries.season_problems import digest_open_work
from scheduling.queries.sessions import SessionPage, build_pages


@dataclass(frozen=True, slots=True)
class SeasonTitle:
    """A season as a list names it."""

    id: int
    code: str
    name: str
    sessions: int


@dataclass(frozen=True, slots=True)
class SeasonLine:
    """One session of the season. `roster` is "no roster yet", or the newest one's state."""

    session: SessionPage
    heads: "Heads"
    roster: str


@dataclass(frozen=True, slots=True)
class Heads:
    """How many are confirmed for a session, and how many of them to expect on average."""

    signed_up: int = 0
    expected: float = 0.0

    def plus(self, heads: int, chance: float) -> "Heads":
        """Return the count with `heads` more, who come with this chance."""
        return Heads(self.signed_up + heads, self.expected + heads * chance)


@dataclass(frozen=True, slots=True)
class PlanWorth:
    """How the current season plan was found and how good it is known to be."""

    id: int
    made_at: datetime
    status: str
    value: int | None
    bound: int | None
    seconds: float
    left_out: tuple[str, ...]
    notes: tuple[str, ...]  # what was given up for comfort's sake
    is_stale: bool  # the open work has changed since it was made

    @property
    def gap_percent(self) -> float | None:
        """How far the value may be below the best possible one, in percent of the bound."""
        if self.value is None or self.bound is None or self.bound <= 0:
            return None
        return max(0.0, 100 * (self.bound - self.value) / self.bound)


@dataclass(frozen=True, slots=True)
class SeasonPage:
    """A season with its sessions and the sums at the ledger's foot."""

    title: SeasonTitle
    plan: PlanWorth | None
    lines: tuple[SeasonLine, ...]

    @property
    def person_min(self) -> float:
        """Mean adult person-minutes of all planned work."""
        return sum(line.session.person_min for line in self.lines)

    @property
    def signed_up(self) -> int:
        """Heads over all sessions; who comes twice counts twice."""
        return sum(line.heads.signed_up for line in self.lines)

    @property
    def expected(self) -> float:
        """Heads to expect over all sessions."""
        return sum(line.heads.expected for line in self.lines)

    @property
    def pieces(self) -> int:
        """Pieces of work given to sessions."""
        return sum(len(line.session.work) for line in self.lines)

    @property
    def published(self) -> int:
        """Sessions with a published roster."""
        return sum(1 for line in self.lines if line.roster == Roster.State.PUBLISHED.label)


def load_season_titles(site_id: int) -> tuple[SeasonTitle, ...]:
    """Return the site's seasons in order of code."""
    rows = Season.objects.filter(site_id=site_id).prefetch_related("sessions").order_by("code")
    return tuple(_title(row) for row in rows)


def find_season_title(*, site_id: int, code: str) -> SeasonTitle | None:
    """Return one season of the site, or None."""
    row = Season.objects.filter(site_id=site_id, code=code).first()
    return _title(row) if row else None


def load_season_page(title: SeasonTitle) -> SeasonPage:
    """Return a season with a line for each session, in order of time."""
    rows = list(
        Session.objects.filter(season_id=title.id)
        .select_related("season__site")
        .order_by("starts_at", "pk")
    )
    ids = [row.pk for row in rows]
    heads = _count_heads(ids, load_belief(rows[0].season.site_id)) if rows else {}
    rosters = _roster_states(ids)
    return SeasonPage(
        title=title,
        plan=_worth(title.id),
        lines=tuple(
            SeasonLine(page, heads.get(page.id, Heads()), rosters.get(page.id, "no roster yet"))
            for page in build_pages(rows)
        ),
    )


def _title(row: Season) -> SeasonTitle:
    return SeasonTitle(row.pk, row.code, row.name, row.sessions.count())


def _count_heads(session_ids: list[int], belief: Belief) -> dict[int, Heads]:
    """Return heads a session; a class counts all its heads and comes as one."""
    heads: dict[int, Heads] = {}
    confirmed = SignUp.objects.filter(session_id__in=session_ids, state=SignUp.State.CONFIRMED)
    for session_id in confirmed.filter(group__isnull=True).values_list("session_id", flat=True):
        heads[session_id] = heads.get(session_id, Heads()).plus(1, belief.singles.mean)
    for session_id, classes in count_classes_coming(session_ids).items():
        for each in classes:
            heads[session_id] = heads.get(session_id, Heads()).plus(each.heads, belief.classes.mean)
    return heads


def _roster_states(session_ids: list[int]) -> dict[int, str]:
    rows = (
        Roster.objects.filter(session_id__in=session_ids)
        .exclude(state=Roster.State.REPLACED)
        .order_by("version")
    )
    return {row.session_id: str(Roster.State(row.state).label) for row in rows}


def _worth(season_id: int) -> PlanWorth | None:
    row = (
        SeasonPlan.objects.filter(season_id=season_id, current=True)
        .select_related("season")
        .first()
    )
    if row is None:
        return None
    return PlanWorth(
        id=row.pk,
        made_at=row.made_at,
        status=row.status,
        value=row.value,
        bound=row.bound,
        seconds=row.seconds,
        left_out=tuple(row.left_out),
        notes=tuple(row.notes),
        is_stale=row.work_digest != digest_open_work(row.season.site_id),
    )
