"""Findings waived by two people: one proposes with a reason, another confirms.

A waiver lifts nothing from the rule book. The finding stays shown with both
names; it only no longer keeps the roster from being published.
"""

from datetime import datetime

from django.db import transaction

from scheduling.domain.errors import WaiverRefused
from scheduling.domain.rule import Finding
from scheduling.domain.waiving import mark_finding, why_not_waivable
from scheduling.models import Session, Waiver
from scheduling.queries.people import get_signing_name
from scheduling.queries.rosters import load_current_findings

SHORTEST_REASON = 10  # signs; a word is no reason
LONGEST_REASON = 500


def propose_waiver(*, session_id: int, mark: str, reason: str, by: int, at: datetime) -> int:
    """Propose to waive one finding of the session's newest roster; return the waiver's number.

    Args:
        session_id: The session.
        mark: The finding's mark, as the page showed it.
        reason: Why it is safe enough here and today.
        by: The account that proposes.
        at: Now, aware.

    Raises:
        WaiverRefused: If the roster has no such finding (any more), its rule
            lets nobody waive it, or the reason says nothing.
    """
    finding = _get_finding(session_id, mark)
    why_not = why_not_waivable(finding)
    if why_not:
        raise WaiverRefused(why_not)
    words = " ".join(reason.split())
    if not SHORTEST_REASON <= len(words) <= LONGEST_REASON:
        raise WaiverRefused(
            f"The reason has {len(words)} signs; it needs {SHORTEST_REASON} to {LONGEST_REASON}. "
            "Say what makes it safe enough here and today."
        )
    with transaction.atomic():
        session = _locked(session_id)
        standing = Waiver.objects.filter(session=session, digest=mark, withdrawn_at__isnull=True)
        if standing.exists():
            raise WaiverRefused("A waiver of this finding stands already. Reload the page.")
        row = Waiver.objects.create(
            session=session,
            rule=finding.rule,
            text=finding.text,
            digest=mark,
            reason=words,
            proposed_by_id=by,
            proposed_name=get_signing_name(by, session.season.site_id),
            proposed_at=at,
        )
    return row.pk


def confirm_waiver(*, session_id: int, waiver_id: int, by: int, at: datetime) -> None:
    """Confirm a waiver that somebody else proposed; from then on it is in force.

    Raises:
        WaiverRefused: If there is no such waiver to confirm, the same account
            proposed it, or its finding is no longer there as it was.
    """
    with transaction.atomic():
        session = _locked(session_id)
        row = _get_standing(session, waiver_id)
        if row.confirmed_at is not None:
            raise WaiverRefused(f"{row.confirmed_name} confirmed this waiver already.")
        if row.proposed_by_id == by:
            raise WaiverRefused(
                "You proposed this waiver, so somebody else must confirm it: another coordinator "
                "or a session lead of the site."
            )
        finding = _get_finding(session_id, row.digest)
        why_not = why_not_waivable(finding)
        if why_not:
            raise WaiverRefused(why_not)
        row.confirmed_by_id, row.confirmed_at = by, at
        row.confirmed_name = get_signing_name(by, session.season.site_id)
        row.save(update_fields=["confirmed_by", "confirmed_at", "confirmed_name"])


def withdraw_waiver(*, session_id: int, waiver_id: int, by: int, at: datetime) -> None:
    """Take a waiver back, proposed or in force; it stays readable.

    Raises:
        WaiverRefused: If the session has no such waiver standing.
    """
    with transaction.atomic():
        session = _locked(session_id)
        row = _get_standing(session, waiver_id)
        row.withdrawn_at = at
        row.withdrawn_name = get_signing_name(by, session.season.site_id)
        row.save(update_fields=["withdrawn_at", "withdrawn_name"])


def _locked(session_id: int) -> Session:
    return (
        Session.objects.select_for_update(of=("self",))
        .select_related("season__site")
        .get(pk=session_id)
    )


def _get_standing(session: Session, waiver_id: int) -> Waiver:
    row = Waiver.objects.filter(pk=waiver_id, session=session, withdrawn_at__isnull=True).first()
    if row is None:
        raise WaiverRefused("This waiver is not there or was withdrawn. Reload the page.")
    return row


def _get_finding(session_id: int, mark: str) -> Finding:
    for finding in load_current_findings(session_id):
        if mark_finding(finding) == mark:
            return finding
    raise WaiverRefused(
        "The roster no longer has this finding as it was shown. Reload the page and look again."
    )
