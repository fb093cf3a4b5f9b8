"""A liaison's classes where they come or wait: offers answered, numbers confirmed, withdrawn."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.forms.class_visits import NumbersForm, describe_counts
from scheduling.forms.groups import SessionChoiceForm
from scheduling.queries.class_visits import ClassVisit, load_visits
from scheduling.queries.groups import ClassPage, load_staff_names
from scheduling.services.class_bookings import record_group_withdrawal
from scheduling.services.class_numbers import NumbersReceipt, record_numbers
from scheduling.services.waiting import answer_class_offer
from scheduling.views.access import get_session, site_page
from scheduling.views.groups import get_class


@site_page("scheduling.bring_class")
@require_POST
def answer(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Take up the spaces offered to a class, or pass them on."""
    page = get_class(standing, group)
    visit = _get_visit(request, page)
    answered = answer_class_offer(
        session_id=visit.session.id,
        group_id=page.id,
        accept=request.POST.get("answer") == "take",
        at=timezone.now(),
    )
    if not answered.people:
        messages.warning(request, "No spaces are offered any more: the time to answer is over.")
    elif answered.state == "confirmed":
        messages.success(request, f"{page.name} is signed up for {visit.session.title}.")
    elif answered.state == "withdrawn":
        messages.success(request, f"The spaces were passed on; {page.name} does not come.")
    else:
        messages.warning(request, f"{page.name} must wait on: things changed since the offer.")
        for finding in answered.findings:
            messages.info(request, f"{finding.text} {finding.remedy}".strip())
    return redirect("group_list", slug=standing.slug)


@site_page("scheduling.bring_class")
@require_POST
def withdraw(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Withdraw a class from a session, or from its line."""
    page = get_class(standing, group)
    visit = _get_visit(request, page)
    receipt = record_group_withdrawal(
        session_id=visit.session.id, group_id=page.id, at=timezone.now()
    )
    if receipt.state == "withdrawn":
        messages.success(request, f"{page.name} is withdrawn from {visit.session.title}.")
    for finding in receipt.findings:
        messages.error(request, f"Nothing was changed. {finding.text} {finding.remedy}")
    return redirect("group_list", slug=standing.slug)


@site_page("scheduling.bring_class")
@require_http_methods(["GET", "HEAD", "POST"])
def numbers(
    request: HttpRequest, standing: Standing, group: str, season: str, session: str
) -> HttpResponse:
    """Show the numbers of a class for a session, filled in, to be confirmed or corrected."""
    page = get_class(standing, group)
    visit = _find_visit(page, get_session(standing, season, session).id)
    if visit is None or not visit.is_coming:
        raise Http404
    form = NumbersForm(
        request.POST or None,
        staff=load_staff_names(page.id),
        initial=describe_counts(visit.counts),
    )
    receipt = None
    if request.method == "POST" and form.is_valid():
        try:
            receipt = record_numbers(
                session_id=visit.session.id,
                group_id=page.id,
                said=form.to_numbers(),
                at=timezone.now(),
            )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            if receipt.state != "refused":
                return _say_kept(request, standing, page, receipt)
    context = {"group": page, "visit": visit, "form": form, "receipt": receipt}
    return render(request, "scheduling/groups/numbers.html", context)


def _say_kept(
    request: HttpRequest, standing: Standing, page: ClassPage, receipt: NumbersReceipt
) -> HttpResponse:
    said = "are confirmed" if receipt.state == "confirmed" else "are corrected"
    messages.success(request, f"The numbers of {page.name} {said}. Thank you.")
    return redirect("group_list", slug=standing.slug)


def _get_visit(request: HttpRequest, page: ClassPage) -> ClassVisit:
    form = SessionChoiceForm(request.POST)
    visit = _find_visit(page, form.cleaned_data["session"]) if form.is_valid() else None
    if visit is None:
        raise Http404
    return visit


def _find_visit(page: ClassPage, session_id: int) -> ClassVisit | None:
    visits = load_visits(page.id, at=timezone.now())
    return next((visit for visit in visits if visit.session.id == session_id), None)
