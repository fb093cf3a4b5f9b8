"""Whole addresses of this server's pages, for mail, calendars and paper."""

from django.conf import settings

from scheduling.invites.content import build_page_address


def build_address(path: str) -> str:
    """Return the whole address of a path that begins with a slash."""
    return f"{settings.BASE_URL.rstrip('/')}{path}"


def build_site_address(slug: str) -> str:
    """Return where a site's pages are, without a slash at the end."""
    return build_address(f"/{slug}")


def build_session_address(slug: str, season: str, session: str) -> str:
    """Return the address of a session's page, from the codes of season and session."""
    return build_page_address(build_site_address(slug), season, session)
