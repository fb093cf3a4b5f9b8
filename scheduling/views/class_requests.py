"""Schools ask to come: the liaison's form, and the coordinator's list with its answers."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from orchard.queries.work_kinds import load_work_kinds
from scheduling.domain.errors import ClassRefused
from scheduling.domain.wording import listed
from scheduling.forms.class_requests import AnswerForm, RequestForm, StaffForm
from scheduling.forms.groups import describe_class
from scheduling.queries.class_requests import (
    RequestPage,
    find_request,
    load_own_requests,
    load_site_requests,
)
from scheduling.queries.groups import load_class_files, load_classes
from scheduling.queries.people import get_signing_name
from scheduling.queries.sessions import load_upcoming
from scheduling.queries.spaces import load_spaces
from scheduling.services.class_files import keep_class_staff
from scheduling.services.class_requests import (
    ask_to_come,
    decline_request,
    offer_session,
    take_back_request,
)
from scheduling.views.access import site_page
from scheduling.views.groups import list_choices


@site_page("scheduling.bring_class")
@require_http_methods(["GET", "HEAD", "POST"])
def ask(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Ask the coordinator for a date and for work; nothing is booked by asking."""
    classes = load_classes(
        user_id=standing.user_id, site_id=standing.site_id, on=timezone.localdate()
    )
    sessions = load_upcoming(standing.site_id, at=timezone.now())
    first = next((one for one in classes if one.code == request.GET.get("class")), None)
    numbers = describe_class(first.numbers) | {"group": first.id} if first else {}
    form = RequestForm(
        request.POST or None,
        classes=[(each.id, f"{each.name}, {each.school}") for each in classes],
        sessions=list_choices(sessions),
        kinds=load_work_kinds(standing.site_id),
        initial=numbers,
    )
    if request.method == "POST" and form.is_valid():
        try:
            ask_to_come(
                user_id=standing.user_id,
                site_id=standing.site_id,
                said=form.to_request(),
                at=timezone.now(),
            )
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, "Your request is with the coordinator, who answers by mail.")
            return redirect("group_list", slug=standing.slug)
    return render(request, "scheduling/class_requests/ask.html", {"form": form})


@site_page("scheduling.bring_class")
@require_POST
def take_back(request: HttpRequest, standing: Standing, asked: int) -> HttpResponse:
    """Take one's own request back."""
    at = timezone.now()
    own = load_own_requests(user_id=standing.user_id, site_id=standing.site_id, at=at)
    if asked not in {each.id for each in own}:
        raise Http404
    take_back_request(user_id=standing.user_id, site_id=standing.site_id, request_id=asked, at=at)
    messages.success(request, "The request is taken back.")
    return redirect("group_list", slug=standing.slug)


@site_page("scheduling.answer_schools")
@require_safe
def list_requests(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List what schools asked, those that wait for an answer first."""
    context = {
        "requests": load_site_requests(standing.site_id, at=timezone.now()),
        "classes": load_class_files(standing.site_id),
    }
    return render(request, "scheduling/class_requests/list.html", context)


@site_page("scheduling.answer_schools")
@require_http_methods(["GET", "HEAD", "POST"])
def keep_staff(request: HttpRequest, standing: Standing, group: str) -> HttpResponse:
    """Show a class on file, and keep who of its staff is."""
    files = load_class_files(standing.site_id)
    page = next((one for one in files if one.code == group), None)
    if page is None:
        raise Http404
    form = StaffForm(
        request.POST if request.method == "POST" else None,
        initial={"codes": " ".join(code for code, _ in page.staff)},
    )
    if form.is_bound and form.is_valid():
        try:
            names = keep_class_staff(
                site_id=standing.site_id,
                group_id=page.id,
                codes=form.to_codes(),
                on=timezone.localdate(),
                at=timezone.now(),
            )
        except PlannerError as refused:
            form.add_error(None, f"Nothing was changed. {refused.message}")
        else:
            messages.success(request, f"Staff of {page.name}: {listed(names) or 'nobody'}.")
            return redirect("class_request_list", slug=standing.slug)
    context = {"group": page, "form": form}
    return render(request, "scheduling/class_requests/staff.html", context)


@site_page("scheduling.answer_schools")
@require_http_methods(["GET", "HEAD", "POST"])
def answer(request: HttpRequest, standing: Standing, asked: int) -> HttpResponse:
    """Show a request, and offer a session or decline with a sentence."""
    at = timezone.now()
    page = find_request(asked, site_id=standing.site_id, at=at)
    if page is None:
        raise Http404
    sessions = load_upcoming(standing.site_id, at=at)
    wished = [one for one in sessions if one.id in page.session_ids]
    others = [one for one in sessions if one.id not in page.session_ids]
    spaces = load_spaces({one.id: one.capacity for one in sessions})
    form = AnswerForm(
        request.POST or None,
        sessions=[
            (number, f"{label}: {spaces[number].free} free")
            for number, label in list_choices((*wished, *others))
        ],
        initial={"session": wished[0].id if wished else ""},
    )
    if request.method == "POST" and form.is_valid():
        try:
            _carry_out(request, standing, page, form)
        except PlannerError as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(request, f"{page.name} is answered; the liaison is told by mail.")
            return redirect("class_request_list", slug=standing.slug)
    context = {"asked": page, "form": form}
    return render(request, "scheduling/class_requests/answer.html", context)


def _carry_out(
    request: HttpRequest, standing: Standing, page: RequestPage, form: AnswerForm
) -> None:
    by = get_signing_name(standing.user_id, standing.site_id)
    said, at = form.cleaned_data, timezone.now()
    if request.POST.get("answer") == "decline":
        decline_request(
            request_id=page.id, site_id=standing.site_id, words=said["words"], by=by, at=at
        )
        return
    if said["session"] is None:
        raise ClassRefused("Choose the session to offer, or decline.")
    offer_session(
        request_id=page.id,
        site_id=standing.site_id,
        session_id=said["session"],
        words=said["words"],
        by=by,
        at=at,
    )
