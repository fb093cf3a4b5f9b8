"""The site's consent form: read by who takes part, written and published by its coordinator."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.consent_form import FormPart, name_changes
from scheduling.forms.consents import ConsentWordsForm
from scheduling.queries.consents import (
    find_form_version,
    load_form_in_use,
    load_form_versions,
    load_held_consents,
)
from scheduling.queries.people import get_signing_name
from scheduling.services.consent_forms import FormDraft, Published, publish_form, tidy_parts
from scheduling.sheets.consent import ConsentPaper, render_consent_form
from scheduling.sheets.render import Paper
from scheduling.views.access import site_page

PAPERS = {"a4": Paper.A4, "letter": Paper.LETTER}


@site_page("scheduling.read_consent_form")
@require_safe
def show_form(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show the form in use, its paper, and the versions there were."""
    versions = load_form_versions(standing.site_id)
    context = {"form_version": next(v for v in versions if v.is_in_use), "versions": versions}
    return render(request, "scheduling/consents/form.html", context)


@site_page("scheduling.read_consent_form")
@require_safe
def show_version(request: HttpRequest, standing: Standing, version: str) -> HttpResponse:
    """Show one version, as it was or will be signed."""
    found = find_form_version(standing.site_id, version)
    if found is None:
        raise Http404
    context = {"form_version": found, "versions": ()}
    return render(request, "scheduling/consents/form.html", context)


@site_page("scheduling.read_consent_form")
@require_safe
def send_paper(request: HttpRequest, standing: Standing, paper: str) -> HttpResponse:
    """Send the form in use to be printed and signed by hand."""
    version, parts = load_form_in_use(standing.site_id)
    return _send_paper(standing, paper, version, parts, is_draft=False)


@site_page("scheduling.keep_people")
@require_http_methods(["GET", "HEAD", "POST"])
def write_form(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Write the next version: typed, seen as guardians and paper will have it, then published."""
    version, parts = load_form_in_use(standing.site_id)
    form = ConsentWordsForm(request.POST or None, parts=parts, version=version)
    context: dict[str, Any] = {"form": form, "version": version, "held": _held(standing)}
    what = request.POST.get("what", "")
    if request.method == "POST" and form.is_valid():
        draft = _read_draft(standing, form)
        if what.startswith("paper-"):
            return _send_paper(
                standing, what.removeprefix("paper-"), "to come", draft.parts, is_draft=True
            )
        if what == "publish":
            answer = _publish(request, standing, form, draft)
            if answer is not None:
                return answer
        else:
            context |= _look(form, draft, parts)
    return render(request, "scheduling/consents/write.html", context)


def _held(standing: Standing) -> dict[str, Any]:
    held = load_held_consents(standing.site_id, at=timezone.now(), on=timezone.localdate())
    return {
        "people": held,
        "coming": tuple(one for one in held if one.sessions),
        "mailed": len({one.mail_to for one in held if one.mail_to}),
        "unmailed": tuple(dict.fromkeys(one.guardian for one in held if not one.mail_to)),
        "latest": max((one.last_day for one in held), default=None),
    }


def _read_draft(standing: Standing, form: ConsentWordsForm) -> FormDraft:
    said = form.cleaned_data
    return FormDraft(
        follows=said["follows"],
        parts=tidy_parts(standing.site_id, said),
        because=said["because"],
        asks_anew=form.asks_anew,
    )


def _look(form: ConsentWordsForm, draft: FormDraft, old: tuple[FormPart, ...]) -> dict[str, Any]:
    carried = ConsentWordsForm(form.data, parts=old, version=draft.follows, auto_id="carried_%s")
    carried.hide()
    changed = name_changes(old, draft.parts)
    return {"seen": draft, "carried": carried, "changed": changed}


def _publish(
    request: HttpRequest, standing: Standing, form: ConsentWordsForm, draft: FormDraft
) -> HttpResponse | None:
    """Publish what was seen; None when it is refused, with the reason in the form."""
    try:
        made = publish_form(
            site_id=standing.site_id,
            draft=draft,
            by=get_signing_name(standing.user_id, standing.site_id),
            at=timezone.now(),
            on=timezone.localdate(),
        )
    except PlannerError as refused:
        form.add_error(None, refused.message)
        return None
    messages.success(request, _say(made, draft))
    return redirect("consent_form", slug=standing.slug)


def _say(made: Published, draft: FormDraft) -> str:
    if not made.is_new:
        return f"Nothing had changed: version {made.version} stays in use."
    if not draft.asks_anew:
        return f"Version {made.version} is in use. What was signed stands as long as it says."
    guardians = "1 guardian is" if made.letters == 1 else f"{made.letters} guardians are"
    return f"Version {made.version} is in use. {guardians} asked by mail to sign it."


def _send_paper(
    standing: Standing, paper: str, version: str, parts: tuple[FormPart, ...], *, is_draft: bool
) -> HttpResponse:
    if paper not in PAPERS:
        raise Http404
    form = ConsentPaper(
        site=f"{standing.site_name}, {standing.town}",
        organiser="the coordinator",
        version=version,
        parts=tuple((part.heading, part.words) for part in parts),
        photographs=next(part.heading for part in parts if part.key == "photographs"),
        is_draft=is_draft,
    )
    return HttpResponse(
        render_consent_form(form, paper=PAPERS[paper]),
        content_type="application/pdf",
        headers={"Content-Disposition": f'inline; filename="consent-form-{paper}.pdf"'},
    )
