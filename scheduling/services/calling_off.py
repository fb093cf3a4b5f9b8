"""Calls a session off: its calendar entries are withdrawn and everybody signed up is told why."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import SessionOver
from scheduling.domain.wording import weekday_words
from scheduling.invites.content import CANCEL
from scheduling.models import InviteState, Message, SeasonPlan, Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_session_facts, load_site_facts
from scheduling.services.publish import withdraw_kept_invite


@dataclass(frozen=True, slots=True)
class CallOffReceipt:
    """Whom calling a session off told: calendars withdrawn, and others by plain mail."""

    withdrawn: int
    told: int


def call_off_session(*, session_id: int, why: str, at: datetime) -> CallOffReceipt:
    """Call a session off and put what everybody must know in the outbox; twice is once.

    Its planned work goes back to the season, whose plan is out of date from now on.

    Raises:
        SessionOver: If the session has begun or is done: what happened is recorded instead.
    """
    with transaction.atomic():
        session = (
            Session.objects.select_for_update(of=("self",))
            .select_related("season__site")
            .get(pk=session_id)
        )
        if session.state == Session.State.CALLED_OFF:
            return CallOffReceipt(0, 0)
        if session.state == Session.State.DONE or session.starts_at <= at:
            raise SessionOver(
                f"{session.code} has begun or is over, so it cannot be called off. Record what "
                "was done instead, if only that nobody worked."
            )
        session.state = Session.State.CALLED_OFF
        session.save(update_fields=["state"])
        SeasonPlan.objects.filter(season=session.season, current=True).update(work_digest="")
        sentence = f"The session is called off. {why}".strip()
        reached = _withdraw_invites(session, sentence, at)
        told = _tell_others(session, sentence, reached, at)
    return CallOffReceipt(withdrawn=len(reached), told=told)


def _withdraw_invites(session: Session, sentence: str, at: datetime) -> set[str]:
    """Withdraw every invite still standing and return the addresses reached."""
    site = load_site_facts(session)
    facts = load_session_facts(session, load_roster_problem(session.pk))
    reached = set()
    for state in InviteState.objects.filter(session=session).exclude(method=CANCEL):
        withdraw_kept_invite(state, site, facts, sentence, at)
        reached.add(state.attendee_email)
    return reached


def _tell_others(session: Session, sentence: str, reached: set[str], at: datetime) -> int:
    """Mail those signed up whom no invite reached, guardians and liaisons for the young."""
    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED).select_related(
        "person__user", "person__guardian__user", "group__liaison"
    )
    addresses = {address for row in rows if (address := _address(row))} - reached
    facts = load_site_facts(session)
    subject = f"Called off: {session.title}, {facts.name}"
    Message.objects.bulk_create(
        Message(
            to=address,
            subject=subject[:200],
            text=f"{session.title}, {weekday_words(session.starts_at)}\n\n{sentence}\n",
            made_at=at,
        )
        for address in sorted(addresses)
    )
    return len(addresses)


def _address(row: SignUp) -> str:
    if row.group is not None:
        return row.group.liaison.email
    if row.person is None:
        return ""
    reader = row.person.guardian or row.person
    return reader.user.email if reader.user else ""
