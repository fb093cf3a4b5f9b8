"""The door of the pages of people and days: the place's own door, and what is theirs to add."""

from django.http import Http404

from orchard.queries.roles import Standing
from orchard.views.access import site_page
from scheduling import permissions  # noqa: F401 (adds the permissions asked for by name)
from scheduling.queries.seasons import SeasonTitle, find_season_title
from scheduling.queries.sessions import SessionKey, SessionPage, find_session, find_session_key

__all__ = ["get_season", "get_session", "get_session_key", "site_page"]


def get_season(standing: Standing, code: str) -> SeasonTitle:
    """Return a season of the site.

    Raises:
        Http404: If the site has none of that name.
    """
    title = find_season_title(site_id=standing.site_id, code=code)
    if title is None:
        raise Http404
    return title


def get_session_key(standing: Standing, season: str, code: str) -> SessionKey:
    """Return which session of the site an address means.

    Raises:
        Http404: If the site has none of that name.
    """
    key = find_session_key(site_id=standing.site_id, season_code=season, code=code)
    if key is None:
        raise Http404
    return key


def get_session(standing: Standing, season: str, code: str) -> SessionPage:
    """Return a session of the site.

    Raises:
        Http404: If the site has none of that name.
    """
    page = find_session(site_id=standing.site_id, season_code=season, code=code)
    if page is None:
        raise Http404
    return page
