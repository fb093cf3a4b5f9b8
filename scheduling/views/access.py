"""The door of the pages of people and days: signed in, of this site, with the permission.

A refusal looks like a page that does not exist, so that nobody learns what a
site holds by trying addresses.
"""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

import rules
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone

from orchard.queries.roles import Standing, find_standing
from scheduling import permissions  # noqa: F401 (adds the permissions asked for by name)
from scheduling.queries.sessions import SessionPage, find_session

P = ParamSpec("P")
SiteView = Callable[Concatenate[HttpRequest, Standing, P], HttpResponse]


def site_page(permission: str) -> Callable[[SiteView[P]], Callable[..., HttpResponse]]:
    """Return a decorator that opens a page to those who hold the permission on its site.

    The view is handed the account's standing in place of the site's slug, and
    its dates are shown in the site's time zone.
    """

    def put_door(view: SiteView[P]) -> Callable[..., HttpResponse]:
        @wraps(view)
        def door(
            request: HttpRequest, slug: str, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponse:
            if not request.user.is_authenticated:
                readable = request.method in ("GET", "HEAD")
                return redirect_to_login(request.get_full_path() if readable else reverse("home"))
            standing = find_standing(user_id=request.user.pk, slug=slug)
            if standing is None or not rules.has_perm(permission, request.user, standing):
                raise Http404
            request.standing = standing  # type: ignore[attr-defined]  # read by base.html
            with timezone.override(standing.time_zone):
                return view(request, standing, *args, **kwargs)

        return door

    return put_door


def get_session(standing: Standing, season: str, code: str) -> SessionPage:
    """Return a session of the site.

    Raises:
        Http404: If the site has none of that name.
    """
    page = find_session(site_id=standing.site_id, season_code=season, code=code)
    if page is None:
        raise Http404
    return page
