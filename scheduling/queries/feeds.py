"""Reads what a calendar that subscribes is shown: one household's, a class's or the site's days."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from scheduling.domain.published import SessionFacts
from scheduling.invites.content import Feed, FeedEntry, build_feed_entry
from scheduling.models import CalendarFeed, Season, Session, SignUp
from scheduling.queries.rosters import load_site_facts
from scheduling.queries.sessions import SessionPage, build_pages

LOOKING_BACK = timedelta(days=60)
"""How long what is over stays in a feed, called off or not: invented."""


@dataclass(frozen=True, slots=True)
class FeedRow:
    """A feed as its page shows it. `group` is the class it is of, or empty."""

    id: int
    secret: str
    group: str
    is_of_site: bool
    made_at: datetime


def find_open_feed(*, slug: str, secret: str) -> int | None:
    """Return the feed under a secret address of a site, or None when it was revoked."""
    return (
        CalendarFeed.objects.filter(site__slug=slug, secret=secret, revoked_at__isnull=True)
        .filter(Q(user__isnull=True) | Q(user__is_active=True))
        .values_list("pk", flat=True)
        .first()
    )


def load_feed_rows(*, site_id: int, user_id: int, with_site: bool) -> tuple[FeedRow, ...]:
    """Return the open feeds of an account and of its classes; with the site's where asked."""
    mine = Q(user_id=user_id) | Q(group__liaison_id=user_id)
    if with_site:
        mine |= Q(user__isnull=True, group__isnull=True)
    rows = CalendarFeed.objects.filter(mine, site_id=site_id, revoked_at__isnull=True)
    return tuple(
        FeedRow(
            id=row.pk,
            secret=row.secret,
            group=row.group.name if row.group else "",
            is_of_site=row.user_id is None and row.group_id is None,
            made_at=row.made_at,
        )
        for row in rows.select_related("group").order_by("pk")
    )


def load_feed(feed_id: int, *, at: datetime, base_url: str) -> Feed:
    """Return what a feed says now, its sessions in order of time.

    Raises:
        CalendarFeed.DoesNotExist: If there is no such feed.
        InviteError: If a session's times or the site's zone cannot be used.
    """
    row = CalendarFeed.objects.select_related("site", "group").get(pk=feed_id)
    sessions = _sessions(row).filter(starts_at__gt=at - LOOKING_BACK)
    names = _names(row) if row.user_id else {}
    of_whom = f": {row.group.name}" if row.group else ""
    return Feed(
        uid=f"feed-{row.pk}",
        name=f"{row.site.name}{of_whom}",
        entries=_entries(sessions, names, base_url),
    )


def find_season_feed(*, site_id: int, season_code: str, base_url: str) -> Feed | None:
    """Return a whole season's sessions to download, without anybody's name, or None."""
    season = Season.objects.select_related("site").filter(site_id=site_id, code=season_code).first()
    if season is None:
        return None
    return Feed(
        uid=f"season-{season.pk}",
        name=f"{season.site.name}: {season.name}",
        entries=_entries(Session.objects.filter(season=season), {}, base_url),
    )


def _entries(
    sessions: "QuerySet[Session]", names: dict[int, tuple[str, ...]], base_url: str
) -> tuple[FeedEntry, ...]:
    rows = list(sessions.select_related("season__site").distinct().order_by("starts_at", "pk"))
    return tuple(
        build_feed_entry(
            load_site_facts(session),
            _facts(page),
            who=names.get(session.pk, ()),
            is_cancelled=session.state == Session.State.CALLED_OFF,
            base_url=base_url,
        )
        for session, page in zip(rows, build_pages(rows), strict=True)
    )


def _sessions(row: CalendarFeed) -> "QuerySet[Session]":
    of_site = Session.objects.filter(season__site_id=row.site_id)
    confirmed = Q(signups__state=SignUp.State.CONFIRMED)
    if row.user_id:
        own = Q(signups__person__user_id=row.user_id) | Q(
            signups__person__guardian__user_id=row.user_id
        )
        return of_site.filter(own & Q(signups__person__active=True) & confirmed)
    if row.group_id:
        return of_site.filter(Q(signups__group_id=row.group_id) & confirmed)
    return of_site


def _names(row: CalendarFeed) -> dict[int, tuple[str, ...]]:
    """Return the given names of an account's own people, by session."""
    found: dict[int, list[str]] = {}
    signups = SignUp.objects.filter(
        Q(person__user_id=row.user_id) | Q(person__guardian__user_id=row.user_id),
        session__season__site_id=row.site_id,
        person__active=True,
        state=SignUp.State.CONFIRMED,
    ).select_related("person")
    for signup in signups.order_by("person__first_name", "person_id"):
        if signup.person:
            found.setdefault(signup.session_id, []).append(signup.person.first_name)
    return {session: tuple(names) for session, names in found.items()}


def _facts(page: SessionPage) -> SessionFacts:
    return SessionFacts(
        code=page.code,
        title=page.title,
        starts_at=page.starts_at,
        ends_at=page.ends_at,
        rounds=page.rounds,
        meeting_point=page.meeting_point,
        bring=page.bring,
        purpose="; ".join(line.title for line in page.work if line.required),
        season=page.season_code,
    )
