"""The door of the place's pages: signed in, of this site, with the permission.

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

from orchard import permissions  # noqa: F401 (adds the permissions asked for by name)
from orchard.queries.roles import Standing, find_standing
from orchard.views.sign_in import lacks_second_factor, lead_to_second_factor

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
            if standing.is_coordinator and lacks_second_factor(request):
                return lead_to_second_factor(request)
            request.standing = standing  # type: ignore[attr-defined]  # read by base.html
            with timezone.override(standing.time_zone):
                return view(request, standing, *args, **kwargs)

        return door

    return put_door
