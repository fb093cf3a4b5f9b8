"""Findings of a session's own limits, before any rule is asked: closed, or full."""

from scheduling.domain.people import PersonId
from scheduling.domain.rule import Finding, Severity

CLOSED, FULL, CLASH = "SES-1", "SES-2", "SES-3"


def build_closed_finding(name: str) -> Finding:
    """Return why nobody signs up for a session any more."""
    return Finding(
        rule=CLOSED,
        severity=Severity.BLOCKS,
        text=f"Sign-up for {name} is closed: the session has begun, is done or called off.",
        source="the site's own rule",
        remedy="Choose a later session.",
    )


def build_begun_finding(name: str) -> Finding:
    """Return why nobody withdraws from a session by themselves any more."""
    return Finding(
        rule=CLOSED,
        severity=Severity.BLOCKS,
        text=f"{name} has begun or is over.",
        source="the site's own rule",
        remedy="Tell the session lead instead.",
    )


def build_full_finding(name: str, *, capacity: int, coming: int, newcomers: int) -> Finding:
    """Return that so many newcomers are too many for a session.

    Args:
        name: The session's code.
        capacity: The most people it takes.
        coming: People confirmed.
        newcomers: People who ask.
    """
    return Finding(
        rule=FULL,
        severity=Severity.BLOCKS,
        text=(
            f"{name} takes {capacity} people; {coming} are confirmed and {newcomers} more would "
            "be too many."
        ),
        source="the site's own limit",
        remedy="Choose another session, or ask whether somebody withdraws.",
        required=capacity,
        found=coming + newcomers,
    )


def build_clash_finding(name: str, other: str, people: tuple[PersonId, ...]) -> Finding:
    """Return that people are signed up for another session at the same time.

    Args:
        name: The session's code.
        other: The other session, as people know it.
        people: Those who would have to be in two places.
    """
    return Finding(
        rule=CLASH,
        severity=Severity.BLOCKS,
        text=f"{name} is at the same time as {other}, for which they are signed up.",
        source="nobody is in two places at once",
        remedy=f"Withdraw from {other} first.",
        people=people,
    )
