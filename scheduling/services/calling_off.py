"""Calls a session off: its calendar entries are withdrawn and everybody signed up is told why."""

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import SessionOver
from scheduling.domain.wording import weekday_words
from scheduling.invites.content import CANCEL
from scheduling.models import Message, SeasonPlan, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_session_facts, load_site_facts
from scheduling.queries.signups import load_readers
from scheduling.services.outbox import Letter, put_letter
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
    for state in session.invites.exclude(method=CANCEL):
        withdraw_kept_invite(state, site, facts, sentence, at)
        reached.add(state.attendee_email)
    return reached


def _tell_others(session: Session, sentence: str, reached: set[str], at: datetime) -> int:
    """Mail those signed up whom no invite reached, guardians and liaisons for the young."""
    addresses = {reader.address for reader in load_readers(session.pk)} - reached
    facts = load_site_facts(session)
    subject = f"Called off: {session.title}, {facts.name}"
    for address in sorted(addresses):
        letter = Letter(
            key=f"called-off/{session.pk}/{address}",
            kind=Message.Kind.NOTICE,
            to=address,
            subject=subject,
            text=f"{session.title}, {weekday_words(session.starts_at)}\n\n{sentence}\n",
        )
        put_letter(letter, session=session, site_id=session.season.site_id, at=at)
    return len(addresses)
