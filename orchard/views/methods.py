"""Ways of treating a piece of ground compared: table, plot, and what fits."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from orchard.forms.methods import FiguresForm, FitForm
from orchard.forms.quantities import show_units
from orchard.queries.method_pages import load_figures, load_fit_page, load_method_page
from orchard.queries.roles import Standing
from orchard.services.method_figures import save_method_figures
from orchard.sheets.plots import list_points, render_methods_plot
from orchard.views.access import site_page

PLOT_TYPES = {"svg": "image/svg+xml", "png": "image/png"}


@site_page("orchard.see_plan")
@require_safe
def compare(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Compare the ways of doing one piece of ground."""
    return _show(request, standing, _form(standing))


@site_page("orchard.change_plan")
@require_POST
def keep_figures(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Keep the site's own turn-out and prices."""
    form = _form(standing, request.POST)
    if not form.is_valid():
        return _show(request, standing, form)
    save_method_figures(site_id=standing.site_id, figures=form.to_figures())
    messages.success(request, "These are this site’s figures now.")
    return redirect("method_list", slug=standing.slug)


@site_page("orchard.see_plan")
@require_safe
def send_plot(request: HttpRequest, standing: Standing, piece: str, kind: str) -> HttpResponse:
    """Send the plot of money against hours."""
    page = load_method_page(standing.site_id, code=piece, on=timezone.localdate())
    if kind not in PLOT_TYPES or page.piece is None or page.piece.code != piece or not page.rows:
        raise Http404
    drawn = render_methods_plot(
        page.rows, kind="svg" if kind == "svg" else "png", title=page.piece.name
    )
    return HttpResponse(drawn, content_type=PLOT_TYPES[kind])


@site_page("orchard.see_plan")
@require_safe
def fit(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Answer what fits in some hours and some money, by optimisation."""
    form = FitForm(request.GET) if "hours" in request.GET else FitForm()
    page = None
    if form.is_bound and form.is_valid():
        page = load_fit_page(
            standing.site_id,
            hours=form.cleaned_data["hours"],
            money_cents=round(form.cleaned_data["money"] * 100),
            on=timezone.localdate(),
        )
    pairs = zip(page.pieces, page.choice.rows, strict=True) if page and page.choice else ()
    context = {"form": form, "page": page, "pairs": list(pairs)}
    return render(request, "orchard/methods/fit.html", context)


def _form(standing: Standing, data: QueryDict | None = None) -> FiguresForm:
    form = FiguresForm(data, figures=load_figures(standing.site_id))
    show_units(form, standing.system)
    return form


def _show(request: HttpRequest, standing: Standing, form: FiguresForm) -> HttpResponse:
    page = load_method_page(
        standing.site_id, code=request.GET.get("ground", "")[:40], on=timezone.localdate()
    )
    context = {"page": page, "form": form, "points": list_points(page.rows)}
    return render(request, "orchard/methods/compare.html", context)
