"""A roster repaired for what happened on the day: shown first, kept as a draft when asked.

At the gate a repair is searched for two seconds within the page; a longer search is
asked for with the same form, followed like any other, and shown here when it ended.
"""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.day_answers import RepairSeen
from scheduling.forms.repairs import DayEventsForm, SealedForm
from scheduling.forms.runs import SearchForm
from scheduling.queries.day_answers import KeptAnswer, find_answer
from scheduling.queries.day_choices import load_day_choices
from scheduling.queries.rosters import find_current_id, load_roster
from scheduling.queries.runs import REPAIR
from scheduling.queries.sessions import SessionPage
from scheduling.services.day_questions import ask_for_repair
from scheduling.services.repairs import REPAIR_SECONDS, preview_repair
from scheduling.services.shown_rosters import keep_shown_roster
from scheduling.views.access import get_session, site_page
from scheduling.views.search_panel import (
    SearchPanel,
    answer_look,
    build_asker,
    build_session_panel,
    follow_receipt,
    read_search_form,
)
from scheduling.views.searches import search_here, stop_search

KINDS = (REPAIR,)


@site_page("scheduling.repair_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def repair(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Ask what happened; on POST show a repair at once, or ask for a longer search of one."""
    page = get_session(standing, season, session)
    newest = find_current_id(page.id)
    if newest is None:
        raise Http404
    is_longer = "longer" in request.POST
    asked = read_search_form(request, REPAIR) if is_longer else None
    search = build_session_panel(standing, page, asked, KINDS)
    answer = find_answer(RepairSeen, session_id=page.id, kinds=KINDS, at=timezone.now())
    form = _build_form(request, standing, page, newest, search, answer)
    seen = None
    if form.is_bound and form.is_valid() and (asked is None or asked.is_valid()):
        try:
            if asked is not None:
                _ask_longer(request, standing, page, newest, form, asked)
                return _back(standing, page)
            seen = preview_repair(
                session_id=page.id,
                roster_id=form.cleaned_data["roster"],
                happened=form.to_happened(load_roster(newest)),
            )
        except PlannerError as error:
            messages.error(request, f"No repair was searched. {error.message}")
            return _back(standing, page)
    is_shown = seen is None and not form.is_bound and answer is not None
    context = {
        "session": page,
        "form": form,
        "search": search,
        "seconds_form": search.form,
        "quick_seconds": REPAIR_SECONDS,
        "answer": answer if is_shown else None,
        "repair": answer.told if is_shown and answer is not None else seen,
        "kept": _keepable(seen, answer if is_shown else None),
        "kept_words": "",
    }
    return render(request, "scheduling/repairs/repair.html", context)


def _build_form(
    request: HttpRequest,
    standing: Standing,
    page: SessionPage,
    newest: int,
    search: SearchPanel,
    answer: KeptAnswer[RepairSeen] | None,
) -> DayEventsForm:
    """Return the form as it was sent, or as it was when the repair on the page was asked for."""
    # Who has left may come along from the day's page, which names them alike.
    known: dict[str, Any] = {k: request.GET[k] for k in request.GET if k.startswith("left_")}
    run = search.run if search.is_active else answer.run if answer else None
    if not known and run is not None and run.asked.get("roster") == newest:
        known = dict(run.asked.get("sent", {}))
    return DayEventsForm(
        request.POST if request.method == "POST" else None,
        day=load_day_choices(page.id),
        system=standing.system,
        initial=known | {"roster": newest},
    )


def _ask_longer(
    request: HttpRequest,
    standing: Standing,
    page: SessionPage,
    newest: int,
    form: DayEventsForm,
    asked: SearchForm,
) -> None:
    receipt = ask_for_repair(
        session_id=page.id,
        roster_id=form.cleaned_data["roster"],
        happened=form.to_happened(load_roster(newest)),
        sent=form.to_sent(),
        asker=build_asker(asked, standing),
    )
    follow_receipt(request, receipt)


def _back(standing: Standing, page: SessionPage) -> HttpResponse:
    return redirect("roster_repair", slug=standing.slug, season=page.season_code, session=page.code)


def _keepable(seen: RepairSeen | None, answer: KeptAnswer[RepairSeen] | None) -> SealedForm | None:
    """Return the form that keeps the repair shown, where it is of the day as it is now."""
    told = seen or (answer.told if answer is not None and not answer.changed else None)
    return SealedForm(initial={"sealed": told.sealed}) if told and told.sealed else None


@site_page("scheduling.repair_roster")
@require_safe
def look(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Show how far the longer search of a repair is."""
    page = get_session(standing, season, session)
    return answer_look(request, build_session_panel(standing, page, kinds=KINDS))


@site_page("scheduling.repair_roster")
@require_POST
def stop(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Stop the longer search; the best repair so far is shown."""
    page = get_session(standing, season, session)
    stop_search(session_id=page.id, kinds=KINDS)
    return _back(standing, page)


@site_page("scheduling.repair_roster")
@require_POST
def repair_here(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Carry the waiting search of a repair out within this request, for a short time."""
    page = get_session(standing, season, session)
    search_here(request, session_id=page.id, kinds=KINDS)
    return _back(standing, page)


@site_page("scheduling.repair_roster")
@require_POST
def keep(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Keep the repair that was shown as a draft."""
    page = get_session(standing, season, session)
    return keep_sealed(request, standing, page.season_code, page.code, page.id)


def keep_sealed(
    request: HttpRequest, standing: Standing, season: str, session: str, session_id: int
) -> HttpResponse:
    """Keep the roster that was shown and sent back, and go to the session's roster."""
    form = SealedForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was kept: look at a roster first, then keep it.")
        return redirect("roster", slug=standing.slug, season=season, session=session)
    try:
        kept = keep_shown_roster(
            session_id=session_id,
            sealed=form.cleaned_data["sealed"],
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was kept. {error.message}")
    else:
        said = "Kept" if kept.is_new else "It was kept already"
        messages.success(request, f"{said} as draft version {kept.version}. Nobody was told.")
    return redirect("roster", slug=standing.slug, season=season, session=session)
