"""What a page shows of the search on it: the newest run, and the form for the next.

The same for a session's roster, answers about its day, a season's plan and answers about
it. Not for the addresses themselves (`rosters`, `seasons`, `searches`) nor for beginning a
search.
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
    CHANCE,
    CHANGES,
    COSTS,
    REPAIR,
    ROSTER,
    SEASON,
    SPARE,
    RunSeen,
    find_newest_run,
    find_other_run,
    is_worker_alive,
)
from scheduling.queries.seasons import SeasonTitle
from scheduling.queries.sessions import SessionPage
from scheduling.services.day_questions import Asker
from scheduling.services.runs import RunReceipt
from scheduling.services.searches import carry_out


@dataclass(frozen=True, slots=True)
class SearchWords:
    """What a page says of one kind of search."""

    under_way: str
    impossible: str = ""
    longer: str = ""
    stop: str = "Stop and keep the best so far"
    stopping: str = "Stopping: the best so far is kept."
    stays: str = "What was kept before stays until it has found something."


_ROSTER_WORDS = SearchWords(
    "A roster is being searched",
    "no roster obeys all rules with these people and this work. What stands in the way:",
    "give the session less work",
)
WORDS = {
    ROSTER: _ROSTER_WORDS,
    SEASON: SearchWords(
        "The season is being planned",
        "no plan obeys all rules. What stands in the way:",
        "open fewer tasks",
    ),
    CHANCE: SearchWords(
        "The chance is being estimated",
        stop="Stop and keep what is known so far",
        stopping="Stopping: what is known so far is kept.",
        stays="An answer from before stays until there is another.",
    ),
    REPAIR: SearchWords(
        "A better repair is being searched",
        stays="It is shown here when it is found; nothing is published from here.",
    ),
    COSTS: SearchWords(
        "One more of each is being tried",
        stop="Stop and keep what is known so far",
        stopping="Stopping: what is known so far is kept.",
        stays="An answer from before stays until there is another.",
    ),
    SPARE: SearchWords(
        "A roster with spare hands is being searched",
        stays="An answer from before stays until there is another.",
    ),
    CHANGES: SearchWords(
        "Changes that make room are being tried",
        stop="Stop and keep what is known so far",
        stopping="Stopping: what is known so far is kept.",
        stays="An answer from before stays until there is another.",
    ),
}
PLACES = {
    ROSTER: ("roster", "roster_propose", "roster"),
    CHANCE: ("roster_chance", "roster_chance", "roster_chance"),
    REPAIR: ("roster_repair", "roster_repair", "roster_repair"),
    COSTS: ("roster_better", "roster_better", "roster_better"),
    SPARE: ("roster_better", "roster_better", "roster_better"),
    SEASON: ("season", "season_plan", "season"),
    CHANGES: ("season_changes", "season_changes", "season_changes"),
}
"""Of each kind of search: its page, where it is asked for, what its addresses share"""


@dataclass(frozen=True, slots=True)
class SearchPanel:
    """The newest search of a session or a season, the form for another, and the addresses.

    `other` is a search of another kind that is under way for the same `owner`, which is
    “session” or “season”.
    """

    kind: str
    run: RunSeen | None
    has_worker: bool
    form: SearchForm
    page_url: str
    start_url: str
    look_url: str
    stop_url: str
    here_url: str
    other: RunSeen | None = None
    other_url: str = ""
    owner: str = "session"

    @property
    def words(self) -> SearchWords:
        """What the page says of the search on it."""
        return WORDS[self.kind if self.run is None else self.run.kind]

    @property
    def is_active(self) -> bool:
        """Whether the search on this page waits or is under way."""
        return self.run is not None and self.run.is_active

    @property
    def is_busy(self) -> bool:
        """Whether any search is under way, so that none can begin."""
        return self.is_active or self.other is not None

    @property
    def is_alone(self) -> bool:
        """Whether a search waits that no worker is there to take up."""
        return self.run is not None and self.run.is_waiting and not self.has_worker


def build_session_panel(
    standing: Standing,
    page: SessionPage,
    form: SearchForm | None = None,
    kinds: tuple[str, ...] = (ROSTER,),
) -> SearchPanel:
    """Return the panel of searches of one session, by default of its roster.

    Args:
        standing: Who looks, at which site.
        page: The session.
        form: The one that was refused, if any.
        kinds: Which searches the page is about, the one its form asks for first.
    """
    where = (standing.slug, page.season_code, page.code)
    return _build_panel("session", page.id, where, form, kinds)


def build_season_panel(
    standing: Standing,
    title: SeasonTitle,
    form: SearchForm | None = None,
    kinds: tuple[str, ...] = (SEASON,),
) -> SearchPanel:
    """Return the panel of searches of one season, by default of its plan.

    Args:
        standing: Who looks, at which site.
        title: The season.
        form: The one that was refused, if any.
        kinds: Which searches the page is about, the one its form asks for first.
    """
    return _build_panel("season", title.id, (standing.slug, title.code), form, kinds)


def _build_panel(
    owner: str,
    owner_id: int,
    where: tuple[str, ...],
    form: SearchForm | None,
    kinds: tuple[str, ...],
) -> SearchPanel:
    at = timezone.now()
    has_worker = is_worker_alive(at)
    session_id = owner_id if owner == "session" else None
    season_id = owner_id if owner == "season" else None
    run = find_newest_run(at=at, session_id=session_id, season_id=season_id, kinds=kinds)
    other = None
    if run is None or not run.is_active:
        other = find_other_run(at=at, session_id=session_id, season_id=season_id, kinds=kinds)
    shown, start, stem = PLACES[kinds[0]]
    return SearchPanel(
        kind=kinds[0],
        run=run,
        has_worker=has_worker,
        form=form or SearchForm(kind=kinds[0], has_worker=has_worker),
        page_url=reverse(shown, args=where),
        start_url=reverse(start, args=where),
        look_url=reverse(f"{stem}_search", args=where),
        stop_url=reverse(f"{stem}_search_stop", args=where),
        here_url=reverse(f"{stem}_search_here", args=where),
        other=other,
        other_url="" if other is None else reverse(PLACES[other.kind][0], args=where),
        owner=owner,
    )


def read_search_form(request: HttpRequest, kind: str) -> SearchForm:
    """Return the form that asks for a search of a kind, filled in."""
    return SearchForm(request.POST, kind=kind, has_worker=is_worker_alive(timezone.now()))


def build_asker(form: SearchForm, standing: Standing) -> Asker:
    """Return how a question is asked, from a form that was accepted."""
    return Asker(
        seconds=form.cleaned_data["seconds"],
        seed=form.cleaned_data["seed"],
        by=standing.user_id,
        at=timezone.now(),
    )


def follow_receipt(request: HttpRequest, receipt: RunReceipt) -> None:
    """Carry a search out within the request where no worker lives; say so when one was joined."""
    if receipt.is_here:
        carry_out(run_id=receipt.run_id, now=timezone.now)
    elif receipt.other:
        messages.info(
            request,
            f"Another search of this {receipt.owner} is under way ({receipt.other}), and there is "
            "one at a time. Wait for it or stop it, then ask again.",
        )
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
