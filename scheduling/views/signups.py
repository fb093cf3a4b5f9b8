"""Signing up and withdrawing. The rule book's answer is shown at once, on the same page."""

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from orchard.queries.roles import Standing
from scheduling.domain.wording import list_words
from scheduling.forms.signups import PeopleForm
from scheduling.queries.people import HouseholdPerson, load_household
from scheduling.queries.programs import load_programs
from scheduling.queries.sessions import SessionPage
from scheduling.queries.signups import load_confirmed_ids
from scheduling.services.signups import SignUpReceipt, record_signup, record_withdrawal
from scheduling.views.access import get_session, site_page

COMING = "Who is coming?"
LEAVING = "Who is not coming after all?"


def show_signup(
    request: HttpRequest,
    standing: Standing,
    session: SessionPage,
    *,
    form: PeopleForm | None = None,
    receipt: SignUpReceipt | None = None,
) -> HttpResponse:
    """Show a session with sign-up, and the answer to the last try if there was one."""
    household = _load_household(standing, session) if standing.comes_to_sessions else ()
    coming, absent = _split(session, household)
    if form is None and absent and session.is_open(timezone.now()):
        ticked = [person.id for person in absent] if len(absent) == 1 else []
        form = PeopleForm(people=absent, label=COMING, ticked=ticked)
    elif form is not None:
        form.offer(absent)  # it was checked against everybody, so that a second press does no harm
    leaving = None
    if coming and session.is_open(timezone.now()):
        ticked = [person.id for person in coming] if len(coming) == 1 else []
        leaving = PeopleForm(people=coming, label=LEAVING, ticked=ticked, auto_id="leave_%s")
    context = {
        "session": session,
        "household": household,
        "coming": coming,
        "form": form,
        "leaving": leaving,
        "receipt": receipt,
        "programs": load_programs(session.id, (person.id for person in coming)),
        "who": list_words([person.name for person in coming], most=len(coming)),
    }
    return render(request, "scheduling/sessions/session.html", context)


@site_page("scheduling.sign_up")
@require_POST
def sign_up(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Sign the ticked people up together, or say what the rules ask for first."""
    page = get_session(standing, season, session)
    household = _load_household(standing, page)
    form = PeopleForm(request.POST, people=household, label=COMING)
    if not form.is_valid():
        return show_signup(request, standing, page, form=form)
    receipt = record_signup(session_id=page.id, person_ids=form.person_ids(), at=timezone.now())
    if receipt.state != "confirmed":
        return show_signup(request, standing, page, form=form, receipt=receipt)
    messages.success(request, f"Signed up: {list_words(receipt.people, most=12)}.")
    for finding in receipt.findings:
        messages.info(request, f"{finding.text} {finding.remedy}".strip())
    return redirect("session", slug=standing.slug, season=season, session=session)


@site_page("scheduling.sign_up")
@require_POST
def withdraw(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Withdraw the ticked people."""
    page = get_session(standing, season, session)
    household = _load_household(standing, page)
    form = PeopleForm(request.POST, people=household, label=LEAVING, auto_id="leave_%s")
    if not form.is_valid():
        messages.error(request, "Nobody was withdrawn: tick at least one person who is signed up.")
    elif not page.is_open(timezone.now()):
        messages.error(request, "This session has begun or is over. Tell the session lead instead.")
    else:
        receipt = record_withdrawal(
            session_id=page.id, person_ids=form.person_ids(), at=timezone.now()
        )
        if receipt.state == "withdrawn":
            messages.success(request, f"Withdrawn: {list_words(receipt.people, most=12)}.")
        for finding in receipt.findings:
            messages.error(request, f"Nobody was withdrawn. {finding.text} {finding.remedy}")
    return redirect("session", slug=standing.slug, season=season, session=session)


def _load_household(standing: Standing, session: SessionPage) -> tuple[HouseholdPerson, ...]:
    return load_household(user_id=standing.user_id, site_id=standing.site_id, on=session.on)


def _split(
    session: SessionPage, household: Iterable[HouseholdPerson]
) -> tuple[tuple[HouseholdPerson, ...], tuple[HouseholdPerson, ...]]:
    """Return who of the household is signed up, and who is not."""
    people = tuple(household)
    confirmed = load_confirmed_ids(session.id, (person.id for person in people))
    return (
        tuple(person for person in people if person.id in confirmed),
        tuple(person for person in people if person.id not in confirmed),
    )
