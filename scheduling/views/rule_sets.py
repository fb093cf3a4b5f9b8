"""Rule sets: which are adopted, every version, and one figure changed after seeing what it does."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.figures import Figure, list_figures
from scheduling.forms.rule_sets import AdoptForm, EndForm, FigureForm, RevisionForm
from scheduling.queries.groups import load_group_names
from scheduling.queries.rule_sets import (
    KeptRuleSet,
    find_version,
    load_current_adoptions,
    load_ended_adoptions,
    load_versions,
)
from scheduling.services.rule_previews import preview_revision
from scheduling.services.rule_sets import adopt_rule_set, end_adoption, revise_rule_set
from scheduling.views.access import site_page


@site_page("scheduling.change_rule_book")
@require_safe
def list_rule_sets(request: HttpRequest, standing: Standing) -> HttpResponse:
    """List what is adopted, what could be, and what was."""
    current = load_current_adoptions(standing.site_id)
    adopted = {each.kept.id for each in current if each.group_id is None}
    versions = load_versions(standing.site_id)
    context = {
        "current": current,
        "ended": load_ended_adoptions(standing.site_id),
        "versions": [(kept, kept.id in adopted) for kept in versions],
        "groups": load_group_names(standing.site_id),
    }
    return render(request, "scheduling/rule_sets/list.html", context)


@site_page("scheduling.change_rule_book")
@require_safe
def show_rule_set(
    request: HttpRequest, standing: Standing, code: str, version: int
) -> HttpResponse:
    """Show every figure of one version with its source; each can be changed from here."""
    kept = _get_version(standing, code, version)
    history = [other for other in load_versions(standing.site_id) if other.code == code]
    context = {
        "kept": kept,
        "figures": list_figures(kept.rules),
        "history": history,
        "newest": history[0].version == kept.version,
        "groups": load_group_names(standing.site_id),
        "adopted": [
            each for each in load_current_adoptions(standing.site_id) if each.kept.id == kept.id
        ],
    }
    return render(request, "scheduling/rule_sets/rule_set.html", context)


@site_page("scheduling.change_rule_book")
@require_POST
def adopt(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Adopt a version, for the whole site or for one class's school on top."""
    form = AdoptForm(request.POST, groups=list(load_group_names(standing.site_id)))
    if not form.is_valid():
        raise Http404
    try:
        adopt_rule_set(
            site_id=standing.site_id,
            version_id=form.cleaned_data["version"],
            group_id=form.cleaned_data["group"],
            by=standing.user_id,
            on=timezone.localdate(),
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was adopted. {error.message}")
    else:
        messages.success(request, "Adopted from today on. Where several sets speak, the strictest.")
    return redirect("rule_set_list", slug=standing.slug)


@site_page("scheduling.change_rule_book")
@require_POST
def end(request: HttpRequest, standing: Standing) -> HttpResponse:
    """End an adoption from today on."""
    form = EndForm(request.POST)
    if not form.is_valid():
        raise Http404
    try:
        end_adoption(
            site_id=standing.site_id,
            adoption_id=form.cleaned_data["adoption"],
            by=standing.user_id,
            on=timezone.localdate(),
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was ended. {error.message}")
    else:
        messages.success(request, "Ended from today on. It stays in the history.")
    return redirect("rule_set_list", slug=standing.slug)


@site_page("scheduling.change_rule_book")
@require_http_methods(["GET", "HEAD", "POST"])
def change_figure(
    request: HttpRequest, standing: Standing, code: str, version: int
) -> HttpResponse:
    """Change one figure: type it, see what it does to the sessions to come, then save it."""
    kept = _get_version(standing, code, version)
    asked = request.POST if request.method == "POST" else request.GET
    figure = _get_figure(kept, asked.get("figure", ""))
    if request.method == "POST":
        return _save(request, standing, kept, figure)
    form = FigureForm(request.GET, of=figure) if "value" in request.GET else FigureForm(of=figure)
    context = {"kept": kept, "figure": figure, "form": form}
    if form.is_bound and form.is_valid():
        value = form.cleaned_data["value"]
        _add_preview(context, standing, kept, figure, value)
        context["saving"] = RevisionForm(initial={"figure": figure.path, "value": value})
    return render(request, "scheduling/rule_sets/change.html", context)


def _save(
    request: HttpRequest, standing: Standing, kept: KeptRuleSet, figure: Figure
) -> HttpResponse:
    saving = RevisionForm(request.POST)
    value = str(request.POST.get("value", ""))
    if not saving.is_valid():
        context = {
            "kept": kept,
            "figure": figure,
            "form": FigureForm({"figure": figure.path, "value": value}, of=figure),
            "saving": saving,
        }
        _add_preview(context, standing, kept, figure, value)
        return render(request, "scheduling/rule_sets/change.html", context)
    try:
        made = revise_rule_set(
            site_id=standing.site_id,
            version_id=kept.id,
            changes={figure.path: value},
            because=saving.cleaned_data["because"],
            by=standing.user_id,
            at=timezone.now(),
            on=timezone.localdate(),
        )
    except PlannerError as error:
        messages.error(request, f"Nothing was saved. {error.message}")
        return redirect("rule_set", slug=standing.slug, code=kept.code, version=kept.version)
    messages.success(
        request,
        f"Version {made.version} of {made.code} is saved and holds from today on wherever version "
        f"{kept.version} was adopted.",
    )
    return redirect("rule_set", slug=standing.slug, code=made.code, version=made.version)


def _add_preview(
    context: dict[str, object],
    standing: Standing,
    kept: KeptRuleSet,
    figure: Figure,
    value: str,
) -> None:
    """Put the preview into the page, or the sentence that says why there is none."""
    try:
        context["preview"] = preview_revision(
            site_id=standing.site_id,
            version_id=kept.id,
            changes={figure.path: value},
            by=standing.user_id,
            at=timezone.now(),
            on=timezone.localdate(),
        )
    except PlannerError as error:
        context["refused"] = error.message


def _get_version(standing: Standing, code: str, version: int) -> KeptRuleSet:
    kept = find_version(standing.site_id, code, version)
    if kept is None:
        raise Http404
    return kept


def _get_figure(kept: KeptRuleSet, path: str) -> Figure:
    for figure in list_figures(kept.rules):
        if figure.path == path:
            return figure
    raise Http404
