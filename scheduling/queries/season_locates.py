"""Reads which boring of a season's coming sessions no locate covers, and by when to ask."""

from datetime import datetime

from orchard.domain.locate_needs import Boring, LocateNeed
from orchard.queries.locates import load_locate_needs
from orchard.queries.tasks import load_open_tasks
from scheduling.models import PlannedWork, Season, Session
from scheduling.queries.session_rows import day_of


def load_season_needs(season_id: int, *, at: datetime) -> tuple[LocateNeed, ...]:
    """Return each coming session's boring, given to it or in season then, area by area.

    A day that no locate covers is given no boring by the season's plan, so what could
    be bored then counts too: otherwise nobody would be told to ask for a locate.
    """
    season = Season.objects.select_related("site").get(pk=season_id)
    sessions = season.sessions.filter(
        starts_at__gt=at, state__in=[Session.State.OPEN, Session.State.PUBLISHED]
    ).select_related("season__site")
    planned = set(
        PlannedWork.objects.filter(
            season_plan__season_id=season_id, season_plan__current=True
        ).values_list("session_id", "task_id")
    )
    digging = [
        kept for kept in load_open_tasks(season.site_id) if kept.task.opens_ground or kept.task.digs
    ]
    borings = tuple(
        Boring(
            session.code,
            on,
            kept.task.zone,
            kept.task.title,
            planned=(session.pk, kept.id) in planned,
        )
        for session in sessions
        for on in [day_of(session)]
        for kept in digging
        if (session.pk, kept.id) in planned
        or not kept.task.windows
        or any(window.holds(on) for window in kept.task.windows)
    )
    return load_locate_needs(season.site_id, borings, as_of=at.date())
