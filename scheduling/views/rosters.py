"""The coordinator's session page: who comes, the roster and its findings, the day's papers."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.wording import list_words
from scheduling.forms.rosters import RosterForm
from scheduling.forms.runs import SearchForm
from scheduling.queries.attendance import load_invitation
from scheduling.queries.locks import LockLine
from scheduling.queries.rosters import (
    SessionRoster,
    find_current_id,
    find_current_roster,
)
from scheduling.queries.runs import ROSTER, RunSeen, is_worker_alive
from scheduling.queries.sessions import SessionPage
from scheduling.queries.signups import load_attendance
from scheduling.services.publish import PublishReceipt, publish_roster
from scheduling.services.runs import start_roster_run
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.parts import DayPack, RoundBlock
from scheduling.views.access import get_session, site_page
from scheduling.views.search_panel import build_session_panel, follow_receipt


@site_page("scheduling.see_roster")
@require_safe
def show_roster(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show a session's sign-ups, its roster by round and crew, and the findings."""
    return show_answer(request, standing, get_session(standing, season, session))


@site_page("scheduling.make_roster")
@require_POST
def propose(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask for a search of a draft roster; without a worker it is carried out here, for short."""
    page = get_session(standing, season, session)
    form = SearchForm(request.POST, kind=ROSTER, has_worker=is_worker_alive(timezone.now()))
    if not form.is_valid():
        return show_answer(request, standing, page, form)
    try:
        receipt = start_roster_run(
            session_id=page.id,
            seconds=form.cleaned_data["seconds"],
            seed=form.cleaned_data["seed"],
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as error:
        messages.error(request, f"No roster was proposed. {error.message}")
    else:
        follow_receipt(request, receipt)
    return redirect("roster", slug=standing.slug, season=season, session=session)


@site_page("scheduling.make_roster")
@require_POST
def publish(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Publish the roster the coordinator was looking at and put its invites in the outbox."""
    page = get_session(standing, season, session)
    form = RosterForm(request.POST)
    newest = find_current_id(page.id)
    if newest is None or not form.is_valid():
        raise Http404
    if form.cleaned_data["roster"] != newest:
        messages.error(
            request,
            "Nothing was published: a newer roster was made meanwhile. This is it; read it first.",
        )
        return redirect("roster", slug=standing.slug, season=season, session=session)
    try:
        receipt = publish_roster(roster_id=newest, at=timezone.now())
    except PlannerError as error:
        messages.error(request, f"Nothing was published. {error.message}")
    else:
        messages.success(request, _say_receipt(receipt))
    return redirect("roster", slug=standing.slug, season=season, session=session)


def show_answer(
    request: HttpRequest, standing: Standing, page: SessionPage, form: SearchForm | None = None
) -> HttpResponse:
    """Show the session's page; `form` is one that asked for what a search cannot be."""
    roster = find_current_roster(page.id)
    search = build_session_panel(standing, page, form)
    pack = build_day_pack(roster.printed) if roster else None
    context = {
        "session": page,
        "attendance": load_attendance(page.id),
        "invitation": load_invitation(page.id, site_id=standing.site_id, capacity=page.capacity)
        if standing.is_coordinator
        else None,
        "roster": roster,
        "pack": pack,
        "rounds": pair_rounds(pack, roster),
        "findings": roster.judged if roster else (),
        "blocked": roster is not None and roster.blocked,
        "search": search,
        "form": search.form,
        **_say_search(search.run, roster),
    }
    return render(request, "scheduling/rosters/roster.html", context)


def _say_search(run: RunSeen | None, roster: SessionRoster | None) -> dict[str, object]:
    """Return what the page says about the last search and the next one."""
    is_good = roster is not None and not roster.blocked
    is_answer = run is not None and roster is not None and run.roster_id == roster.id
    is_draft = roster is not None and roster.state == "draft"
    return {
        "verb": "Propose another roster" if is_good else "Propose a roster",
        "is_second": is_good and is_draft,
        "means": "Searching tells nobody, and the last roster stays until another is found.",
        "kept_words": "The roster below is the one from before; it was not touched."
        if roster
        else "There is no roster yet.",
        "answer_words": "A draft roster is proposed. Read it, then publish it."
        if is_answer and is_draft
        else "",
        "outdated": is_outdated(run, roster),
    }


def is_outdated(run: RunSeen | None, roster: SessionRoster | None) -> bool:
    """Say whether the roster shown was searched for a day that has changed since."""
    if run is None or roster is None or run.roster_id != roster.id:
        return False
    return run.problem_digest != roster.problem_digest


def pair_rounds(
    pack: DayPack | None, roster: SessionRoster | None
) -> list[tuple[RoundBlock, list[LockLine]]]:
    """Return each round's table with the places fixed in it."""
    if pack is None or roster is None:
        return []
    return [
        (block, [lock for lock in roster.locks if lock.round == number and not lock.why_not])
        for number, block in enumerate(pack.roster.rounds)
    ]


def _say_receipt(receipt: PublishReceipt) -> str:
    said = (
        f"Version {receipt.version} is published: {receipt.invites} invites to send, "
        f"{receipt.unchanged} readers already know, {receipt.cancelled} withdrawn."
    )
    if receipt.unreachable:
        names = list_words(receipt.unreachable, most=12)
        said += f" No e-mail address is known for {names}: tell them in another way."
    return said
