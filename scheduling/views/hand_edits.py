"""A roster changed by hand, and the day itself: somebody moved, somebody gone, judged at once."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from orchard.domain.errors import PlannerError
from orchard.queries.roles import Standing
from scheduling.domain.rule import Severity
from scheduling.domain.wording import listed
from scheduling.forms.hand_edits import LeftForm, MoveForm
from scheduling.queries.day_now import DayNow, judge_day_now
from scheduling.queries.first_aid import load_to_hear
from scheduling.queries.rosters import find_current_id
from scheduling.services.hand_edits import edit_place, preview_move
from scheduling.views.access import get_session, site_page


@site_page("scheduling.make_roster")
@require_http_methods(["GET", "HEAD", "POST"])
def move(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Move one person in one round; the rules answer before and after it is kept."""
    page = get_session(standing, season, session)
    roster_id = find_current_id(page.id)
    if roster_id is None:
        raise Http404
    day = judge_day_now(page.id, ())
    sent = request.POST if request.method == "POST" else request.GET
    form = _move_form(day, roster_id, sent if "person" in sent else None)
    context: dict[str, object] = {"session": page, "form": form, "day": day}
    if form.is_bound and form.is_valid():
        person, round_, task = form.to_move()
        try:
            if request.method == "POST":
                receipt = edit_place(
                    session_id=page.id,
                    roster_id=form.cleaned_data["roster"],
                    person=person,
                    round_=round_,
                    task=task,
                    by=standing.user_id,
                    at=timezone.now(),
                )
                messages.success(request, _say_move(receipt.version, len(receipt.came)))
                return redirect("roster", slug=standing.slug, season=season, session=session)
            context["receipt"] = preview_move(
                session_id=page.id,
                roster_id=form.cleaned_data["roster"],
                person=person,
                round_=round_,
                task=task,
            )
        except PlannerError as error:
            messages.error(request, f"Nobody was moved. {error.message}")
            return redirect("roster_move", slug=standing.slug, season=season, session=session)
    return render(request, "scheduling/hand_edits/move.html", context)


@site_page("scheduling.see_roster")
@require_safe
def show_day_now(
    request: HttpRequest, standing: Standing, season: str, session: str
) -> HttpResponse:
    """Show what the rules say of the rest of the day once some have left; nothing is kept."""
    page = get_session(standing, season, session)
    if find_current_id(page.id) is None:
        raise Http404
    planned = judge_day_now(page.id, ())
    form = LeftForm(request.GET or None, members=_members(planned), rounds=planned.rounds)
    left = form.to_left() if form.is_bound and form.is_valid() else ()
    day = judge_day_now(page.id, left)
    context = {
        "session": page,
        "form": form,
        "day": day,
        "asked": bool(left),
        "left": _say_left(day),
        "to_hear": load_to_hear(page.id),
        "blocked": any(f.severity is Severity.BLOCKS for f in day.findings),
    }
    return render(request, "scheduling/hand_edits/day_now.html", context)


def _move_form(day: DayNow, roster_id: int, data: object) -> MoveForm:
    people = [(each.id, each.name) for each in day.people]
    return MoveForm(
        data,
        people=people,
        rounds=day.rounds,
        tasks=day.tasks,
        initial={"roster": roster_id},
    )


def _members(day: DayNow) -> list[tuple[str, str, tuple[int, ...]]]:
    """Return a line for each person, and one for all pupils of a class."""
    named = [(f"left_{p.id}", p.name, (p.id,)) for p in day.people if not p.group_name]
    classes = sorted({p.group_name for p in day.people if p.group_name})
    for number, name in enumerate(classes, start=1):
        pupils = tuple(p.id for p in day.people if p.group_name == name)
        named.append((f"left_class_{number}", f"{name}, all {len(pupils)} pupils", pupils))
    return named


def _say_left(day: DayNow) -> list[str]:
    """Return who left before which round, round by round; pupils of a class as one."""
    names: dict[int, dict[str, int]] = {}
    for name, from_round in day.left:
        known = names.setdefault(from_round, {})
        known[name] = known.get(name, 0) + 1
    return [
        ("Did not come: " if from_round == 0 else f"Left before round {from_round + 1}: ")
        + listed(f"{name} ({n} pupils)" if n > 1 else name for name, n in sorted(known.items()))
        for from_round, known in sorted(names.items())
    ]


def _say_move(version: int | None, came: int) -> str:
    if version is None:
        return "They are there already; nothing was changed."
    if not came:
        return f"Kept as version {version}. The rules find nothing new."
    plural = "s" if came > 1 else ""
    return f"Kept as version {version}, with {came} new finding{plural}: read them below."
