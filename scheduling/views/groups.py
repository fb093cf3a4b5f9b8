"""Liaison pages: my classes, what a session asks of a class, and signing a class up."""

from dataclasses import replace

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.formats import date_format
from django.views.decorators.http import require_POST, require_safe

from orchard.queries.roles import Standing
from scheduling.domain.class_visit import ClassNumbers
from scheduling.domain.rule import Severity
from scheduling.forms.groups import ClassForm, SessionChoiceForm, describe_class
from scheduling.queries.class_checks import SessionCheck, SessionFit, check_class_at, load_fits
from scheduling.queries.class_requests import load_own_requests
from scheduling.queries.class_visits import load_visits
from scheduling.queries.groups import ClassPage, find_class, load_classes
from scheduling.queries.sessions import SessionPage, load_upcoming
from scheduling.queries.statements import load_statement
from scheduling.services.class_bookings import may_class_wait, record_group_signup
from scheduling.services.signups import SignUpReceipt
from scheduling.sheets.paper import Paper
from scheduling.sheets.statement import build_statement, render_statement
from scheduling.views.access import site_page

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


@site_page("scheduling.bring_class")
@require_safe
def list_classes(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List one's own classes, where they come or wait, and what was asked for them."""
    at = timezone.now()
    classes = load_classes(
        user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate()
    )
    context = {
        "rows": [(each, load_visits(each.id, at=at)) for each in classes],
        "requests": load_own_requests(user_id=standing.user_id, site_id=standing.site_id, at=at),
    }
    return render(request, "scheduling/groups/list.html", context)


@site_page("scheduling.bring_class")
@require_safe
def check_class(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Show what the rules ask of a class at a session; nothing is kept."""
    page = get_class(standing, group)
    sessions = load_upcoming(standing.site_id, at=timezone.now())
    if "session" not in request.GET:
        return _show(request, page, _blank_form(page, sessions), sessions)
    form = _form(request, sessions)
    if not form.is_valid():
        return _show(request, page, form, sessions)
    numbers = form.to_numbers()
    answer = check_class_at(form.cleaned_data["session"], numbers, group_id=page.id)
    by_id = {session.id: session for session in sessions}
    fits = [(by_id[fit.session_id], fit) for fit in load_fits(by_id, numbers, group_id=page.id)]
    return _show(request, page, form, sessions, answer=answer, fits=fits)


@site_page("scheduling.bring_class")
@require_safe
def send_statement(
    request: HttpRequest, standing: Standing, group: str, paper: str
) -> HttpResponse:
    """Send the supervision statement of a class as described, for the school's own forms."""
    page = get_class(standing, group)
    form = _form(request, load_upcoming(standing.site_id, at=timezone.now()))
    if paper not in PAPERS or not form.is_valid():
        raise Http404
    facts = load_statement(
        session_id=form.cleaned_data["session"],
        group_id=page.id,
        numbers=form.to_numbers(),
        at=timezone.now(),
    )
    written = render_statement(build_statement(facts), paper=PAPERS[paper])
    name = f"supervision-statement-{page.code}-{facts.session.code}.pdf"
    return HttpResponse(
        written,
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="{name}"'},
    )


@site_page("scheduling.bring_class")
@require_POST
def sign_up(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Sign the class as it is on file up, or let it wait in line, or say what is missing."""
    page = get_class(standing, group)
    sessions = load_upcoming(standing.site_id, at=timezone.now())
    form = SessionChoiceForm(request.POST)
    chosen = form.cleaned_data["session"] if form.is_valid() else None
    if chosen not in {session.id for session in sessions}:
        raise Http404
    receipt = record_group_signup(
        session_id=chosen,
        group_id=page.id,
        at=timezone.now(),
        wait=form.cleaned_data["wait"],
    )
    if receipt.state == "refused":
        return _show(request, page, _blank_form(page, sessions, chosen), sessions, receipt=receipt)
    if receipt.state == "waiting":
        messages.warning(request, f"{page.name} waits, place {receipt.place} in the line.")
    else:
        messages.success(request, f"{page.name} is signed up.")
    return redirect("group_list", slug=standing.slug)


def _show(
    request: HttpRequest,
    page: ClassPage,
    form: ClassForm,
    sessions: tuple[SessionPage, ...],
    *,
    answer: SessionCheck | None = None,
    fits: list[tuple[SessionPage, SessionFit]] | None = None,
    receipt: SignUpReceipt | None = None,
) -> HttpResponse:
    findings = answer.check.findings if answer else receipt.findings if receipt else ()
    chosen = form.cleaned_data.get("session") if answer and form.is_bound else None
    if receipt is not None:
        chosen = form.initial.get("session")
    context = {
        "group": page,
        "form": form,
        "sessions": sessions,
        "session": next((each for each in sessions if each.id == chosen), None),
        "answer": answer.check if answer else None,
        "obstacles": [f for f in findings if f.severity is Severity.BLOCKS],
        "remarks": [f for f in findings if f.severity is not Severity.BLOCKS],
        "adopted": answer.adopted if answer else (),
        "fits": fits or [],
        "asked": request.GET.urlencode(),
        "as_on_file": answer is not None and form.to_numbers() == _on_file(page, form),
        "receipt": receipt,
        "may_wait": chosen is not None
        and may_class_wait(chosen, group_id=page.id, findings=tuple(findings)),
    }
    return render(request, "scheduling/groups/check.html", context)


def _on_file(page: ClassPage, form: ClassForm) -> ClassNumbers:
    """Return the class as it would be signed up; wishes are asked, not signed up for."""
    return replace(page.numbers, wished_kinds=form.to_numbers().wished_kinds)


def _form(request: HttpRequest, sessions: tuple[SessionPage, ...]) -> ClassForm:
    return ClassForm(request.GET, sessions=list_choices(sessions))


def _blank_form(
    page: ClassPage, sessions: tuple[SessionPage, ...], chosen: int | None = None
) -> ClassForm:
    initial = describe_class(page.numbers)
    if chosen is not None:
        initial["session"] = chosen
    return ClassForm(sessions=list_choices(sessions), initial=initial)


def list_choices(sessions: tuple[SessionPage, ...]) -> list[tuple[int, str]]:
    """Return sessions as a form offers them: when, and what."""
    return [
        (
            session.id,
            f"{date_format(timezone.localtime(session.starts_at), 'D j F Y, H:i')}, "
            f"{session.title}",
        )
        for session in sessions
    ]


def get_class(standing: Standing, code: str) -> ClassPage:
    """Return one of the account's own classes.

    Raises:
        Http404: If it has none of that code at this site.
    """
    page = find_class(
        user_id=standing.user_id, site_id=standing.site_id, code=code, on=timezone.localdate()
    )
    if page is None:
        raise Http404
    return page
