"""Signing up and withdrawing. The rule book's answer is shown at once, on the same page."""

from collections.abc import Iterable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from orchard.queries.roles import Standing
from scheduling.domain.wording import list_words
from scheduling.forms.signups import PeopleForm, SignUpForm
from scheduling.queries.class_visits import load_classes_coming
from scheduling.queries.first_aid import may_read_notes
from scheduling.queries.people import HouseholdPerson, load_household
from scheduling.queries.programs import load_programs
from scheduling.queries.sessions import SessionKey, SessionPage
from scheduling.queries.signups import load_confirmed_ids, load_line
from scheduling.queries.spaces import load_welcome
from scheduling.services.signups import SignUpReceipt, record_signup, record_withdrawal
from scheduling.services.waiting import answer_offer
from scheduling.views.access import get_session, get_session_key, site_page

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
    mine = {person.id for person in household}
    line = [place for place in load_line(session.id) if place.person_id in mine]
    in_line = {place.person_id for place in line}
    absent = tuple(person for person in absent if person.id not in in_line)
    if form is None and absent and session.is_open(timezone.now()):
        ticked = [person.id for person in absent] if len(absent) == 1 else []
        form = SignUpForm(people=absent, label=COMING, ticked=ticked)
    elif form is not None:
        form.offer(absent)  # it was checked against everybody, so that a second press does no harm
    leaving = None
    here = (*coming, *(person for person in household if person.id in in_line))
    if here and session.is_open(timezone.now()):
        ticked = [person.id for person in here] if len(here) == 1 else []
        leaving = PeopleForm(people=here, label=LEAVING, ticked=ticked, auto_id="leave_%s")
    context = {
        "session": session,
        "household": household,
        "coming": coming,
        "offers": [place for place in line if place.is_offered],
        "waiting": [place for place in line if not place.is_offered],
        "form": form,
        "leaving": leaving,
        "receipt": receipt,
        "programs": load_programs(session.id, (person.id for person in coming)),
        "has_first_aid": may_read_notes(
            session_id=session.id, user_id=standing.user_id, at=timezone.now()
        ),
        "classes": load_classes_coming(session.id, at=timezone.now())
        if standing.is_coordinator or standing.is_session_lead
        else (),
        "welcome": load_welcome(session, at=timezone.now()),
        "who": list_words([person.name for person in coming], most=len(coming)),
    }
    return render(request, "scheduling/sessions/session.html", context)


@site_page("scheduling.sign_up")
@require_POST
def sign_up(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Sign the ticked people up together, or say what the rules ask for first."""
    key = get_session_key(standing, season, session)
    form = SignUpForm(request.POST, people=_load_household(standing, key), label=COMING)
    if not form.is_valid():
        page = get_session(standing, season, session)
        return show_signup(request, standing, page, form=form)
    receipt = record_signup(
        session_id=key.id,
        person_ids=form.person_ids(),
        at=timezone.now(),
        together=form.comes_together(),
    )
    if receipt.state == "refused":
        page = get_session(standing, season, session)
        return show_signup(request, standing, page, form=form, receipt=receipt)
    _say_receipt(request, receipt)
    return redirect("session", slug=standing.slug, season=season, session=session)


def _say_receipt(request: HttpRequest, receipt: SignUpReceipt) -> None:
    elsewhere = {*receipt.waiting, *receipt.refused}
    if signed_up := [name for name in receipt.people if name not in elsewhere]:
        messages.success(request, f"Signed up: {list_words(signed_up, most=12)}.")
    if receipt.waiting:
        names = list_words(receipt.waiting, most=12)
        messages.warning(request, f"Waiting, place {receipt.place} in the line: {names}.")
    if receipt.refused:
        messages.warning(request, f"Not signed up: {list_words(receipt.refused, most=12)}.")
    for finding in receipt.findings:
        messages.info(request, f"{finding.text} {finding.remedy}".strip())


@site_page("scheduling.sign_up")
@require_POST
def answer(request: HttpRequest, standing: Standing, season: str, session: str) -> HttpResponse:
    """Take up or leave the spaces offered to one's own people."""
    page = get_session(standing, season, session)
    answered = answer_offer(
        session_id=page.id,
        person_ids=tuple(person.id for person in _load_household(standing, page)),
        accept=request.POST.get("answer") == "take",
        at=timezone.now(),
    )
    names = list_words(answered.people, most=12)
    if not answered.people:
        messages.warning(request, "No space is offered any more: the time to answer is over.")
    elif answered.state == "confirmed":
        messages.success(request, f"Signed up: {names}.")
    elif answered.state == "withdrawn":
        messages.success(request, f"The space was passed on; {names} does not come.")
    else:
        messages.warning(request, f"{names} must wait on: things changed since the offer.")
    for finding in answered.findings:
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


def _load_household(
    standing: Standing, session: SessionPage | SessionKey
) -> tuple[HouseholdPerson, ...]:
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
