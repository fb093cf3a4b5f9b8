"""Publishes a roster: one version counts, and everybody's calendar is told once."""

from dataclasses import dataclass, replace
from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import RosterBlocked, RosterUnknown
from scheduling.domain.judgement import judge_roster
from scheduling.domain.people import LONGEST_NAME
from scheduling.domain.published import PublishedRoster, SessionFacts, SiteFacts
from scheduling.invites.content import (
    CANCEL,
    REQUEST,
    Invite,
    build_fingerprint,
    build_invites,
    build_session_invite,
    find_unreachable,
    withdraw_invite,
)
from scheduling.invites.encode import encode_cancel, encode_invite
from scheduling.models import InviteState, Message, Roster, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_printed, load_roster
from scheduling.queries.waivers import judge_findings
from scheduling.services.addresses import build_site_address
from scheduling.services.outbox import Letter, put_letter

OFF_THE_ROSTER = "You are no longer on the roster of this session."


@dataclass(frozen=True, slots=True)
class PublishReceipt:
    """What publishing a roster told whom."""

    version: int
    invites: int
    unchanged: int
    cancelled: int
    unreachable: tuple[str, ...]


def publish_roster(*, roster_id: int, at: datetime) -> PublishReceipt:
    """Make this roster the published one and put the invites it causes in the outbox.

    Publishing the published roster again changes nothing and tells nobody.

    Raises:
        RosterUnknown: If the roster is not there or was replaced by a newer one, or
            its session is called off or done.
        RosterBlocked: If a rule blocks it and two people did not waive the
            finding; the message names the first findings.
    """
    session_id = _get_session_id(roster_id)
    with transaction.atomic():
        session = (
            Session.objects.select_for_update(of=("self",))
            .select_related("season")
            .get(pk=session_id)
        )
        _refuse_over(session)
        row = Roster.objects.select_for_update().get(pk=roster_id)
        if row.state == Roster.State.REPLACED:
            raise RosterUnknown(
                f"Version {row.version} was replaced by a newer roster. Reload the page."
            )
        if row.state == Roster.State.DRAFT:
            # Judged under the lock: nobody can withdraw between the verdict and its keeping.
            _refuse_blocked(session_id, roster_id)
            Roster.objects.filter(session=session, state=Roster.State.PUBLISHED).update(
                state=Roster.State.REPLACED
            )
            row.state, row.published_at = Roster.State.PUBLISHED, at
            row.save(update_fields=["state", "published_at"])
            session.state = Session.State.PUBLISHED
            session.save(update_fields=["state"])
        return _tell_calendars(session, load_printed(roster_id), at)


def _get_session_id(roster_id: int) -> int:
    found = Roster.objects.filter(pk=roster_id).values_list("session_id", flat=True).first()
    if found is None:
        raise RosterUnknown(f"There is no roster number {roster_id}. Propose one first.")
    return found


def _refuse_over(session: Session) -> None:
    if session.state in (Session.State.DONE, Session.State.CALLED_OFF):
        raise RosterUnknown(
            f"{session.code} is {session.get_state_display()}, so nobody can be invited to it "
            "any more. Choose a session that is still open."
        )


def _refuse_blocked(session_id: int, roster_id: int) -> None:
    findings = judge_roster(load_roster_problem(session_id), load_roster(roster_id))
    blocking = [each for each in judge_findings(session_id, findings) if each.blocks]
    if blocking:
        first = " ".join(each.finding.text for each in blocking[:3])
        number = len(blocking)
        words = "1 finding blocks it" if number == 1 else f"{number} findings block it"
        raise RosterBlocked(
            f"The roster cannot be published: {words}. {first} "
            "Propose a new roster for the people and tools there are."
        )


def _tell_calendars(session: Session, printed: PublishedRoster, at: datetime) -> PublishReceipt:
    known = {state.uid: state for state in session.invites.all()}
    told = unchanged = 0
    invites = build_invites(printed, sequence={}, base_url=build_site_address(printed.site.code))
    gone = []
    for invite in invites:
        state = known.pop(invite.uid, None)
        if state is not None and _has_moved(state, invite):
            # The old address would keep an entry that nobody updates any more.
            gone.append(state)
            withdraw_kept_invite(state, printed.site, printed.session, OFF_THE_ROSTER, at)
        if _tell(session, invite, state, at):
            told += 1
        else:
            unchanged += 1
    for state in known.values():
        if state.method != CANCEL:
            gone.append(state)
            withdraw_kept_invite(state, printed.site, printed.session, OFF_THE_ROSTER, at)
    return PublishReceipt(
        version=printed.version,
        invites=told,
        unchanged=unchanged,
        cancelled=len(gone),
        unreachable=tuple(person.name for person in find_unreachable(printed)),
    )


def _has_moved(state: InviteState, invite: Invite) -> bool:
    return state.method == REQUEST and state.attendee_email != invite.attendee_email


def _tell(session: Session, invite: Invite, state: InviteState | None, at: datetime) -> bool:
    """Put an invite in the outbox unless its reader knows all it says; say whether it was."""
    fingerprint = build_fingerprint(invite)
    if state is not None and state.method == REQUEST and state.fingerprint == fingerprint:
        return False
    sequence = 0 if state is None else state.sequence + 1
    state = state or InviteState(session=session, uid=invite.uid)
    state.sequence, state.method, state.fingerprint = sequence, REQUEST, fingerprint
    state.attendee_name = invite.attendee_name[: 2 * LONGEST_NAME]
    state.attendee_email = invite.attendee_email
    state.summary = invite.summary[: 3 * LONGEST_NAME]
    state.save()
    numbered = replace(invite, sequence=sequence)
    _put(session, numbered, encode_invite(numbered, stamp=at), at)
    return True


def withdraw_kept_invite(
    state: InviteState, site: SiteFacts, facts: SessionFacts, why: str, at: datetime
) -> None:
    """Withdraw an invite its reader still has, and put the mail that says why in the outbox.

    Runs in the caller's transaction.
    """
    last = replace(
        build_session_invite(site, facts, base_url=build_site_address(site.code)),
        uid=state.uid,
        method=REQUEST,
        sequence=state.sequence,
        summary=state.summary,
        attendee_name=state.attendee_name,
        attendee_email=state.attendee_email,
    )
    withdrawn = withdraw_invite(last)
    state.sequence, state.method = withdrawn.sequence, CANCEL
    state.save(update_fields=["sequence", "method"])
    _put(state.session, withdrawn, encode_cancel(last, stamp=at), at, why=why)


def _put(session: Session, invite: Invite, calendar: bytes, at: datetime, *, why: str = "") -> None:
    withdrawn = invite.method == CANCEL
    letter = Letter(
        key=f"{invite.uid}/{invite.sequence}/{invite.method}",
        kind=Message.Kind.WITHDRAWAL if withdrawn else Message.Kind.INVITE,
        to=invite.attendee_email,
        subject=f"Withdrawn: {invite.summary}" if withdrawn else invite.summary,
        text=_mail_text(invite, why),
        method=invite.method,
        sequence=invite.sequence,
        calendar=calendar,
    )
    put_letter(letter, session=session, site_id=session.season.site_id, at=at)


def _mail_text(invite: Invite, why: str) -> str:
    when = f"{invite.starts_at:%A %d %B %Y, %H:%M} to {invite.ends_at:%H:%M} ({invite.time_zone})"
    if invite.method == CANCEL:
        return f"{invite.summary}\n{when}\n\n{why}\n"
    link = f"\n{invite.url}\n" if invite.url else ""
    return f"{invite.summary}\n{when}\n{invite.location}\n\n{invite.description}\n{link}"
