"""Reads what spaces sessions still have, for whom, and who will lead. Not for deciding who may."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling.domain.openings import Opening, find_openings
from scheduling.domain.people import age_on
from scheduling.models import Person, Session, SignUp
from scheduling.queries.class_counts import (
    count_classes_coming,
    count_together,
    load_class_counts,
)
from scheduling.queries.names import printed_name
from scheduling.queries.problems import load_admission_problem
from scheduling.queries.rosters import find_session_lead
from scheduling.queries.session_rows import day_of, get_session_row
from scheduling.queries.sessions import SessionPage


@dataclass(frozen=True, slots=True)
class Spaces:
    """A session's spaces: how many there are, taken, kept for somebody's answer; who waits."""

    capacity: int
    taken: int = 0
    offered: int = 0
    waiting: int = 0

    @property
    def free(self) -> int:
        """Spaces nobody has and nobody is offered."""
        return max(0, self.capacity - self.taken - self.offered)


@dataclass(frozen=True, slots=True)
class Welcome:
    """What somebody thinking of coming is told: spaces, for whom, and who will lead.

    `lead` is empty while nobody who may lead is signed up. `openings` are by age, none
    for a session that is full or over.
    """

    spaces: Spaces
    lead: str
    openings: tuple[Opening, ...]


def load_spaces(capacities: dict[int, int]) -> dict[int, Spaces]:
    """Return the spaces of sessions, given the limit of each by its id.

    A member of a class's staff who also signed up singly takes one space. Who waits is
    counted in people, and a class in the line as one.
    """
    states = [SignUp.State.CONFIRMED, SignUp.State.OFFERED, SignUp.State.WAITING]
    rows = SignUp.objects.filter(session_id__in=sorted(capacities), state__in=states)
    taken: dict[int, set[int]] = {}
    offered: dict[int, int] = {}
    offered_classes: dict[int, list[int]] = {}
    waiting: dict[int, int] = {}
    for session, person, group, state in rows.values_list(
        "session_id", "person_id", "group_id", "state"
    ):
        if state == SignUp.State.WAITING:
            waiting[session] = waiting.get(session, 0) + 1
        elif state == SignUp.State.CONFIRMED and person is not None:
            taken.setdefault(session, set()).add(person)
        elif state == SignUp.State.OFFERED and person is not None:
            offered[session] = offered.get(session, 0) + 1
        elif state == SignUp.State.OFFERED and group is not None:
            offered_classes.setdefault(session, []).append(group)
    classes = count_classes_coming(capacities)
    for session, groups in offered_classes.items():
        heads = sum(each.heads for each in load_class_counts(session, groups))
        offered[session] = offered.get(session, 0) + heads
    return {
        session: Spaces(
            capacity=capacity,
            taken=count_together(taken.get(session, ()), classes.get(session, ())),
            offered=offered.get(session, 0),
            waiting=waiting.get(session, 0),
        )
        for session, capacity in capacities.items()
    }


def load_welcome(page: SessionPage, *, at: datetime) -> Welcome:
    """Return what somebody thinking of coming to a session is told."""
    session = get_session_row(page.id)
    spaces = load_spaces({page.id: page.capacity})[page.id]
    openings: tuple[Opening, ...] = ()
    if spaces.free and page.is_open(at):
        openings = find_openings(load_admission_problem(session), spaces.free)
    return Welcome(spaces, _find_lead(session), openings)


def load_own_names(
    person_ids: Iterable[int], session_ids: Iterable[int]
) -> dict[int, tuple[str, ...]]:
    """Return the given names of one's own people who are confirmed, by session."""
    rows = SignUp.objects.filter(
        person_id__in=sorted(person_ids),
        session_id__in=sorted(session_ids),
        state=SignUp.State.CONFIRMED,
    ).order_by("person__first_name", "person_id")
    names: dict[int, tuple[str, ...]] = {}
    for session, name in rows.values_list("session_id", "person__first_name"):
        names[session] = (*names.get(session, ()), name)
    return names


def _find_lead(session: Session) -> str:
    rows = {
        row.pk: row
        for row in Person.objects.filter(
            signups__session=session, signups__state=SignUp.State.CONFIRMED
        )
    }
    lead = find_session_lead(session.season.site_id, rows)
    if lead is None:
        return ""
    row = rows[lead]
    return printed_name(row, age_on(row.birth_year, row.birth_month, day_of(session)))
