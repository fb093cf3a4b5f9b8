"""Reads what schools asked and what was answered: a liaison's own, or all of a site's."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from scheduling.models import ClassRequest, SignUp
from scheduling.queries.class_counts import Ages, sort_ages
from scheduling.queries.session_rows import day_of
from scheduling.queries.sessions import SessionPage, build_pages

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
TAKEN_WORDS = {
    SignUp.State.CONFIRMED: "signed up",
    SignUp.State.WAITING: "waiting",
    SignUp.State.OFFERED: "spaces offered",
}


@dataclass(frozen=True, slots=True)
class RequestPage:
    """One request. `state` says what became of it, also by what the liaison made of an offer."""

    id: int
    name: str
    school: str
    group_id: int | None
    group_code: str
    pupils_by_age: Ages
    staff: int
    helpers: int
    weekdays: tuple[str, ...]
    sessions: tuple[str, ...]
    session_ids: tuple[int, ...]
    wished_kinds: tuple[str, ...]
    access_needs: str
    state: str
    asked_at: datetime
    offered: SessionPage | None
    answer: str
    answered_by: str
    answered_at: datetime | None

    @property
    def pupils(self) -> int:
        """Number of pupils."""
        return sum(count for _, count in self.pupils_by_age)

    @property
    def heads(self) -> int:
        """Spaces the class would take, as far as the school can say."""
        return self.pupils + self.staff + self.helpers

    @property
    def is_open(self) -> bool:
        """Whether it waits for an answer."""
        return self.state == "asked"

    @property
    def may_book(self) -> bool:
        """Whether a session is offered that the liaison has not booked yet."""
        return self.state == "a session is offered"

    @property
    def may_take_back(self) -> bool:
        """Whether it is asked, or offered and not booked."""
        return self.is_open or self.may_book


def load_own_requests(*, user_id: int, site_id: int, at: datetime) -> tuple[RequestPage, ...]:
    """Return an account's requests at a site, the newest first."""
    rows = ClassRequest.objects.filter(liaison_id=user_id, site_id=site_id)
    return _pages(rows.order_by("-asked_at", "-pk"), at)


def load_site_requests(site_id: int, *, at: datetime) -> tuple[RequestPage, ...]:
    """Return a site's requests: those that wait for an answer first, then the newest."""
    pages = _pages(ClassRequest.objects.filter(site_id=site_id).order_by("-asked_at", "-pk"), at)
    waiting = sorted((page for page in pages if page.is_open), key=lambda page: page.asked_at)
    return (*waiting, *(page for page in pages if not page.is_open))


def find_request(request_id: int, *, site_id: int, at: datetime) -> RequestPage | None:
    """Return one request of a site, or None."""
    pages = _pages(ClassRequest.objects.filter(pk=request_id, site_id=site_id), at)
    return pages[0] if pages else None


def count_open_requests(site_id: int) -> int:
    """Return how many requests of a site wait for an answer."""
    return ClassRequest.objects.filter(site_id=site_id, state=ClassRequest.State.ASKED).count()


def _pages(rows: "QuerySet[ClassRequest]", at: datetime) -> tuple[RequestPage, ...]:
    found = list(
        rows.select_related("group", "offered__season__site").prefetch_related(
            "sessions__season__site"
        )
    )
    offered = {row.offered.pk: row.offered for row in found if row.offered is not None}
    pages = {page.id: page for page in build_pages(offered.values())}
    taken = {
        (row.session_id, row.group_id): SignUp.State(row.state)
        for row in SignUp.objects.filter(
            session_id__in=offered, group_id__in={row.group_id for row in found if row.group_id}
        )
    }
    return tuple(_page(row, pages, taken, at) for row in found)


def _page(
    row: ClassRequest,
    pages: dict[int, SessionPage],
    taken: dict[tuple[int, int | None], SignUp.State],
    at: datetime,
) -> RequestPage:
    offered = pages.get(row.offered_id or 0)
    state = str(ClassRequest.State(row.state).label)
    if offered is not None:
        state = TAKEN_WORDS.get(
            taken.get((offered.id, row.group_id), SignUp.State.WITHDRAWN), state
        )
        if state not in TAKEN_WORDS.values() and not offered.is_open(at):
            state = "over"
    wanted = sorted(row.sessions.all(), key=lambda session: (session.starts_at, session.pk))
    return RequestPage(
        id=row.pk,
        name=row.name,
        school=row.school,
        group_id=row.group_id,
        group_code=row.group.code if row.group else "",
        pupils_by_age=sort_ages(row.pupils_by_age),
        staff=row.staff,
        helpers=row.helpers,
        weekdays=tuple(WEEKDAYS[int(day)] for day in row.weekdays),
        sessions=tuple(f"{one.title}, {day_of(one):%-d %B %Y}" for one in wanted),
        session_ids=tuple(one.pk for one in wanted),
        wished_kinds=tuple(row.wished_kinds),
        access_needs=row.access_needs,
        state=state,
        asked_at=row.asked_at,
        offered=offered,
        answer=row.answer,
        answered_by=row.answered_by,
        answered_at=row.answered_at,
    )
