"""Reads what a site's own recorded sessions teach about who turns up. Never about one person."""

from dataclasses import dataclass

from scheduling.domain.attendance import OVER_RISK, Belief, DaySeen, learn_belief, most_signups
from scheduling.models import Session, SessionRecord
from scheduling.queries.class_counts import load_class_counts
from scheduling.queries.session_rows import load_coming


@dataclass(frozen=True, slots=True)
class Invitation:
    """How far a session may be over-invited, in people signed up singly beside its classes.

    `mean_percent` is how many of those signed up singly come on average, by a
    belief that `sessions` of the site's own taught.
    """

    most: int
    signed_up: int
    risk_percent: float
    mean_percent: float
    sessions: int

    @property
    def more(self) -> int:
        """How many more may sign up singly; 0 when there are too many already."""
        return max(0, self.most - self.signed_up)


def load_belief(site_id: int) -> Belief:
    """Return what the site's recorded sessions make of the usual belief about turning up.

    Records from before sign-ups were counted with them teach nothing.
    """
    rows = SessionRecord.objects.filter(
        session__season__site_id=site_id, singles_signed_up__isnull=False
    ).order_by("session__starts_at", "session_id")
    return learn_belief(
        [
            DaySeen(row.singles_signed_up or 0, tuple(row.classes_signed_up), row.people)
            for row in rows
        ]
    )


def load_session_belief(session_id: int) -> Belief:
    """Return the belief of a session's site.

    Raises:
        Session.DoesNotExist: If there is no such session.
    """
    return load_belief(Session.objects.select_related("season").get(pk=session_id).season.site_id)


def load_invitation(session_id: int, *, site_id: int, capacity: int) -> Invitation:
    """Return how far a session may be over-invited without more coming than the site takes."""
    belief = load_belief(site_id)
    singles, classes = count_signed_up(session_id)
    return Invitation(
        most=most_signups(capacity, belief, classes=classes),
        signed_up=singles,
        risk_percent=100 * OVER_RISK,
        mean_percent=100 * belief.singles.mean,
        sessions=belief.sessions,
    )


def count_signed_up(session_id: int) -> tuple[int, list[int]]:
    """Return how many are confirmed singly, and the heads of each class, its staff counted."""
    coming = load_coming(session_id)
    if not coming.groups:
        return len(coming.people), []
    classes = load_class_counts(session_id, coming.groups)
    staff = {person for each in classes for person in each.staff}
    return len(set(coming.people) - staff), [each.heads for each in classes]
