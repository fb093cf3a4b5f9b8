"""What a page shows of the search on it: the newest run, and the form for the next.

The same for a session's roster and a season's plan. Not for the addresses
themselves (`rosters`, `seasons`, `searches`) nor for beginning a search.
"""

from dataclasses import dataclass

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django_htmx.http import HttpResponseClientRefresh

from orchard.queries.roles import Standing
from scheduling.forms.runs import SearchForm
from scheduling.queries.runs import (
    ROSTER,
    SEASON,
    RunSeen,
    find_newest_run,
    is_worker_alive,
)
from scheduling.queries.seasons import SeasonTitle
from scheduling.queries.sessions import SessionPage
from scheduling.services.runs import RunReceipt
from scheduling.services.searches import carry_out


@dataclass(frozen=True, slots=True)
class SearchPanel:
    """The newest search of a session or a season, the form for another, and the addresses."""

    kind: str
    run: RunSeen | None
    has_worker: bool
    form: SearchForm
    page_url: str
    start_url: str
    look_url: str
    stop_url: str
    here_url: str

    @property
    def is_of_season(self) -> bool:
        """Whether a season plan is searched, not a roster."""
        return self.kind == SEASON

    @property
    def is_alone(self) -> bool:
        """Whether a search waits that no worker is there to take up."""
        return self.run is not None and self.run.is_waiting and not self.has_worker


def build_session_panel(
    standing: Standing, page: SessionPage, form: SearchForm | None = None
) -> SearchPanel:
    """Return the panel of a session's roster; `form` is the one that was refused, if any."""
    at = timezone.now()
    has_worker = is_worker_alive(at)
    where = (standing.slug, page.season_code, page.code)
    return SearchPanel(
        kind=ROSTER,
        run=find_newest_run(at=at, session_id=page.id),
        has_worker=has_worker,
        form=form or SearchForm(kind=ROSTER, has_worker=has_worker),
        page_url=reverse("roster", args=where),
        start_url=reverse("roster_propose", args=where),
        look_url=reverse("roster_search", args=where),
        stop_url=reverse("roster_search_stop", args=where),
        here_url=reverse("roster_search_here", args=where),
    )


def build_season_panel(
    standing: Standing, title: SeasonTitle, form: SearchForm | None = None
) -> SearchPanel:
    """Return the panel of a season's plan; `form` is the one that was refused, if any."""
    at = timezone.now()
    has_worker = is_worker_alive(at)
    where = (standing.slug, title.code)
    return SearchPanel(
        kind=SEASON,
        run=find_newest_run(at=at, season_id=title.id),
        has_worker=has_worker,
        form=form or SearchForm(kind=SEASON, has_worker=has_worker),
        page_url=reverse("season", args=where),
        start_url=reverse("season_plan", args=where),
        look_url=reverse("season_search", args=where),
        stop_url=reverse("season_search_stop", args=where),
        here_url=reverse("season_search_here", args=where),
    )


def follow_receipt(request: HttpRequest, receipt: RunReceipt) -> None:
    """Carry a search out within the request where no worker lives; say so when one was joined."""
    if receipt.is_here:
        carry_out(run_id=receipt.run_id, now=timezone.now)
    elif not receipt.is_new:
        messages.info(request, "A search is under way already, so no other was begun.")


def answer_look(request: HttpRequest, panel: SearchPanel) -> HttpResponse:
    """Answer a look at a search: the part of the page that moves, or the page when it is over.

    The page is loaded anew too when its buttons change, as when a worker died.
    Without script the address leads to the page, which shows the same.
    """
    if not request.htmx:  # type: ignore[attr-defined]  # set by the library's middleware
        return redirect(f"{panel.page_url}#search")
    is_other_page = request.GET.get("alone", "0") != str(int(panel.is_alone))
    if panel.run is None or not panel.run.is_active or is_other_page:
        return HttpResponseClientRefresh()
    told = request.GET.get("told", "")
    return render(request, "scheduling/runs/live.html", {"search": panel, "told": told})
