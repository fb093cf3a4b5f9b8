"""Calendar addresses: made, ended, and answered. An address needs no sign-in: it is the secret."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.http import http_date
from django.views.decorators.http import require_POST, require_safe

from orchard.queries.roles import Standing
from scheduling.queries.feeds import find_open_feed, load_feed_rows
from scheduling.queries.groups import load_classes
from scheduling.services.feeds import (
    build_feed_address,
    build_season_file,
    open_feed,
    revoke_feed,
    serve_feed,
)
from scheduling.views.access import site_page

MOST_OLD_S = 900  # how long a reader may keep the file without asking again; invented


@site_page("scheduling.see_session")
@require_safe
def show_feeds(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show the account's calendar addresses, and what could have one."""
    rows = load_feed_rows(
        site_id=standing.site_id, user_id=standing.user_id, with_site=standing.is_coordinator
    )
    classes = load_classes(
        user_id=standing.user_id,
        site_id=standing.site_id,
        on=timezone.localdate(),
    )
    with_feed = {row.group for row in rows}
    context = {
        "feeds": [(row, build_feed_address(standing.slug, row.secret)) for row in rows],
        "has_own": any(not row.group and not row.is_of_site for row in rows),
        "has_site": any(row.is_of_site for row in rows),
        "classes": [each for each in classes if each.name not in with_feed],
    }
    return render(request, "scheduling/feeds/feeds.html", context)


@site_page("scheduling.see_session")
@require_POST
def start_feed(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Make an address: one's own, a class's one brings, or (a coordinator) the site's."""
    at = timezone.now()
    of = request.POST.get("of", "")
    if of == "mine" and standing.comes_to_sessions:
        open_feed(site_id=standing.site_id, user_id=standing.user_id, at=at)
    elif of == "site" and standing.is_coordinator:
        open_feed(site_id=standing.site_id, at=at)
    else:
        classes = load_classes(
            user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate(at)
        )
        mine = {f"class {each.code}": each.id for each in classes}
        if of not in mine:
            raise Http404
        open_feed(site_id=standing.site_id, group_id=mine[of], at=at)
    return redirect("feeds", slug=standing.slug)


@site_page("scheduling.see_session")
@require_POST
def end_feed(request: HttpRequest, standing: Standing) -> HttpResponse:
    """End one of the account's own addresses."""
    rows = load_feed_rows(
        site_id=standing.site_id, user_id=standing.user_id, with_site=standing.is_coordinator
    )
    mine = {str(row.id): row.id for row in rows}
    asked = request.POST.get("feed", "")
    if asked not in mine:
        raise Http404
    revoke_feed(feed_id=mine[asked], at=timezone.now())
    return redirect("feeds", slug=standing.slug)


@site_page("scheduling.see_session")
@require_safe
def send_season(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Send a season's sessions as one calendar file, once; it names nobody."""
    written = build_season_file(standing.site_id, standing.slug, season, at=timezone.now())
    if written is None:
        raise Http404
    return HttpResponse(
        written,
        content_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'attachment; filename="season.ics"'},
    )


@require_safe
def send_feed(request: HttpRequest, slug: str, secret: str) -> HttpResponse:
    """Send the file, or 304 when the reader has it already (RFC 9110 section 13)."""
    feed_id = find_open_feed(slug=slug, secret=secret)
    if feed_id is None:
        raise Http404
    served = serve_feed(feed_id, at=timezone.now())
    changed_s = int(served.changed_at.timestamp())
    response = get_conditional_response(request, etag=served.etag, last_modified=changed_s)
    if response is None or response.status_code == 200:
        response = HttpResponse(served.content, content_type="text/calendar; charset=utf-8")
        response["Content-Disposition"] = 'inline; filename="sessions.ics"'
    response["ETag"] = served.etag
    response["Last-Modified"] = http_date(changed_s)
    # Private: the address is a secret, and what it opens is one household's.
    response["Cache-Control"] = f"private, max-age={MOST_OLD_S}"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    return response
