"""The plan editor: a plan's head, its lines, and what a line would mean before it is saved."""

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError, UnknownTreatment
from orchard.domain.plan import Plan, PlannedTreatment
from orchard.domain.treatment import Treatment
from orchard.domain.treatments import get_treatment
from orchard.forms.plan_lines import PlanForm, PlanLineForm
from orchard.forms.quantities import list_understood, show_units
from orchard.queries.ground import load_treatment_fits
from orchard.queries.line_previews import LinePreview, preview_line
from orchard.queries.pages import PlanTitle
from orchard.queries.plans import load_plan
from orchard.queries.roles import Standing
from orchard.services.plans import (
    change_plan,
    pick_key,
    remove_line,
    save_line,
    start_plan,
)
from orchard.views.access import site_page
from orchard.views.plans import get_plan


@dataclass(frozen=True, slots=True)
class EditedLine:
    """The line under the pen. `old` is None for a new one."""

    title: PlanTitle
    plan: Plan
    treatment: Treatment
    old: PlannedTreatment | None


@site_page("orchard.change_plan")
@require_http_methods(["GET", "HEAD", "POST"])
def start(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Start a plan."""
    form = PlanForm(request.POST or None, with_code=True)
    if request.method == "POST" and form.is_valid():
        try:
            start_plan(
                site_id=standing.site_id,
                code=form.cleaned_data["code"],
                title=form.cleaned_data["title"],
                budget_cents=form.budget_cents(),
                by=standing.user_id,
                at=timezone.now(),
            )
        except PlannerError as error:
            form.add_error("code", error.message)
        else:
            return redirect("plan", slug=standing.slug, code=form.cleaned_data["code"])
    return render(request, "orchard/plan_editor/head.html", {"form": form, "plan": None})


@site_page("orchard.change_plan")
@require_http_methods(["GET", "HEAD", "POST"])
def change_head(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Change a plan's title and budget."""
    title = get_plan(standing, code)
    initial = {"title": title.title, "budget": title.budget_cents / 100}
    form = PlanForm(request.POST or None, with_code=False, initial=initial)
    if request.method == "POST" and form.is_valid():
        changed = change_plan(
            plan_id=title.id,
            title=form.cleaned_data["title"],
            budget_cents=form.budget_cents(),
            by=standing.user_id,
            at=timezone.now(),
        )
        _tell(request, changed)
        return redirect("plan", slug=standing.slug, code=code)
    return render(request, "orchard/plan_editor/head.html", {"form": form, "plan": title})


@site_page("orchard.change_plan")
@require_safe
def choose_treatment(request: HttpRequest, standing: Standing, code: str) -> HttpResponse:
    """Show every treatment with its evidence and whether it suits the ground."""
    context = {
        "plan": get_plan(standing, code),
        "fits": load_treatment_fits(standing.site_id, on=timezone.localdate()),
    }
    return render(request, "orchard/plan_editor/choose.html", context)


@site_page("orchard.change_plan")
@require_http_methods(["GET", "HEAD", "POST"])
def add_line(request: HttpRequest, standing: Standing, code: str, treatment: str) -> HttpResponse:
    """Add a line of a treatment; without “save” it only shows what the line would mean."""
    title = get_plan(standing, code)
    try:
        chosen = get_treatment(treatment)
    except UnknownTreatment as error:
        raise Http404 from error
    edited = EditedLine(title, load_plan(title.id), chosen, None)
    form = _form(request, standing, edited, pick_key(plan_id=title.id, treatment=treatment))
    return _edit(request, standing, edited, form)


@site_page("orchard.change_plan")
@require_http_methods(["GET", "HEAD", "POST"])
def change_line(request: HttpRequest, standing: Standing, code: str, key: str) -> HttpResponse:
    """Change a line; without “save” it only shows what the line would mean."""
    title = get_plan(standing, code)
    plan = load_plan(title.id)
    old = next((line for line in plan.treatments if line.key == key), None)
    if old is None:
        raise Http404
    try:
        edited = EditedLine(title, plan, get_treatment(old.treatment), old)
    except UnknownTreatment as error:
        raise Http404 from error
    return _edit(request, standing, edited, _form(request, standing, edited))


@site_page("orchard.change_plan")
@require_POST
def take_out(request: HttpRequest, standing: Standing, code: str, key: str) -> HttpResponse:
    """Take a line out of the plan."""
    title = get_plan(standing, code)
    changed = remove_line(plan_id=title.id, key=key, by=standing.user_id, at=timezone.now())
    _tell(request, changed)
    return redirect("plan", slug=standing.slug, code=code)


def _form(
    request: HttpRequest, standing: Standing, edited: EditedLine, key: str = ""
) -> PlanLineForm:
    form = PlanLineForm(
        request.POST or None,
        treatment=edited.treatment,
        place=edited.plan.place,
        pockets=edited.plan.pockets,
        line=edited.old,
        own=edited.plan.facts.own,
        initial={"key": key} if key else {},
    )
    show_units(form, standing.system)
    return form


def _edit(
    request: HttpRequest, standing: Standing, edited: EditedLine, form: PlanLineForm
) -> HttpResponse:
    key = edited.old.key if edited.old else ""
    if request.method == "POST" and "save" in request.POST and form.is_valid():
        if not edited.old and any(
            line.key == form.cleaned_data["key"] for line in edited.plan.treatments
        ):
            form.add_error("key", "Another line of the plan has this name. Choose another.")
        elif _saved(request, standing, edited, form):
            return redirect("plan", slug=standing.slug, code=edited.title.code)
    preview: LinePreview | None = None
    line = edited.old
    if form.is_bound:
        line = form.to_line(key) if form.is_valid() else None
    if line is not None:
        preview = preview_line(plan_id=edited.title.id, line=line, on=timezone.localdate())
    context = {
        "plan": edited.title,
        "edited": edited,
        "form": form,
        "preview": preview,
        "understood": list_understood(form) if form.is_bound else (),
        "fits": load_treatment_fits(
            standing.site_id, on=timezone.localdate(), codes=(edited.treatment.code,)
        ),
    }
    if request.htmx:  # type: ignore[attr-defined]  # set by the library's middleware
        return render(request, "orchard/plan_editor/means.html", context)
    return render(request, "orchard/plan_editor/line.html", context)


def _saved(
    request: HttpRequest, standing: Standing, edited: EditedLine, form: PlanLineForm
) -> bool:
    try:
        changed = save_line(
            plan_id=edited.title.id,
            line=form.to_line(edited.old.key if edited.old else ""),
            by=standing.user_id,
            at=timezone.now(),
        )
    except PlannerError as error:
        form.add_error(None, error.message)
        return False
    _tell(request, changed)
    return True


def _tell(request: HttpRequest, changed: str) -> None:
    if changed:
        messages.success(request, f"{changed} Tasks stay as they are until you publish the change.")
    else:
        messages.info(request, "Nothing had changed.")
