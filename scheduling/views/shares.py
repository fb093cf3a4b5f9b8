"""Who has carried how much so far: of a season, and what it means for one session's roster.

For coordinators and session leads. Adults are named; young people are only counted.
"""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.domain.past_rounds import SESSIONS_OF_OLD_HAND, SESSIONS_TO_SETTLE
from scheduling.domain.past_share import MANY, MOST_POINTS, SOME
from scheduling.domain.wording import number_words
from scheduling.queries.roster_shares import load_roster_shares
from scheduling.queries.shares import load_season_shares
from scheduling.views.access import get_season, get_session, site_page

FIGURES = {
    "some": number_words(SOME),
    "many": number_words(MANY),
    "most": number_words(MOST_POINTS),
    "old_hand": number_words(SESSIONS_OF_OLD_HAND),
    "settled": number_words(SESSIONS_TO_SETTLE),
}


@site_page("scheduling.see_season")
@require_safe
def show_season_shares(request: HttpRequest, standing: Standing, season: str) -> HttpResponse:
    """Show what each adult of the season has carried, by published rosters."""
    title = get_season(standing, season)
    shares = load_season_shares(
        season_id=title.id, site_id=standing.site_id, on=timezone.localdate()
    )
    context = {"title": title, "shares": shares, "figures": FIGURES}
    return render(request, "scheduling/shares/season.html", context)


@site_page("scheduling.see_roster")
@require_safe
def show_roster_shares(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show who learns with whom in a session's roster, and where the season so far decided it."""
    page = get_session(standing, season, session)
    context = {"session": page, "shares": load_roster_shares(page.id), "figures": FIGURES}
    return render(request, "scheduling/shares/roster.html", context)
