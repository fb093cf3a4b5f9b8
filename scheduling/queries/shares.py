"""Reads what people have carried so far this season, from the rosters of earlier sessions.

Added up anew each time from places that are kept anyway (young people's for thirty
days); no count about a person is stored. Sessions called off do not count.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import Count, QuerySet

from orchard.queries.tasks import load_tasks_by_id
from scheduling.domain import problem as roster_problem
from scheduling.domain.past_rounds import (
    PastPerson,
    PastPlace,
    PastWork,
    add_up_past,
    find_company,
    find_experience,
)
from scheduling.domain.past_share import PastShare, tell_due
from scheduling.domain.people import ADULT_AGE, OLD_HAND, PersonId, Restriction, TaskId, age_on
from scheduling.models import Person, Roster, RosterPlace, Session
from scheduling.queries.session_rows import day_of


@dataclass(frozen=True, slots=True)
class _Before:
    """Which sessions count: those of a season that begin before a moment."""

    season_id: int
    site_id: int
    at: datetime | None  # None: all of the season


def add_past(
    session: Session, people: tuple[roster_problem.Person, ...]
) -> tuple[roster_problem.Person, ...]:
    """Return the people of a session with their season so far, and as used to it as they are.

    Args:
        session: With its season at hand; sessions that begin before it count.
        people: As on file; pupils of classes have no past.
    """
    before = _Before(session.season_id, session.season.site_id, session.starts_at)
    sessions = _count_sessions(before)
    if not sessions:
        return people
    places = _load_places(before)
    rows = _load_people({*(place.person for place in places), *(p.id for p in people if p.id > 0)})
    on = day_of(session)
    shares = _add_up(places, rows.values(), on)
    old = frozenset(
        person
        for person, row in rows.items()
        if _experience(row, sessions.get(person, 0), on) >= OLD_HAND
    )
    company = find_company(places, old)
    return tuple(
        replace(
            person,
            past=shares.get(person.id),
            experience=find_experience(
                kept=person.experience,
                sessions=sessions.get(person.id, 0),
                is_grown=not person.is_young,
                knows_an_old_hand=person.id in company,
            ),
        )
        if person.id in sessions
        else person
        for person in people
    )


@dataclass(frozen=True, slots=True)
class ShareLine:
    """What one adult has carried in a season, and what kinds of wishes they said."""

    name: str
    share: PastShare
    likes: bool
    wishes: bool
    dislikes: bool
    likes_heavy: bool = False

    @property
    def due(self) -> tuple[str, ...]:
        """What the next rosters lean to for them, in words."""
        return tell_due(
            self.share, likes=self.likes, wishes=self.wishes, likes_heavy=self.likes_heavy
        )


@dataclass(frozen=True, slots=True)
class SeasonShares:
    """What the adults of a season have carried, and the young people by number alone."""

    lines: tuple[ShareLine, ...]
    young: int
    sessions: int

    @property
    def rounds(self) -> int:
        """Rounds worked by the adults."""
        return sum(line.share.rounds for line in self.lines)

    @property
    def heavy(self) -> int:
        """Heavy rounds of the adults."""
        return sum(line.share.heavy for line in self.lines)


def load_season_shares(
    *, season_id: int, site_id: int, on: date, at: datetime | None = None
) -> SeasonShares:
    """Return what people have carried in a season, by name: it is a ledger, not a ranking.

    Args:
        season_id: The season.
        site_id: Its site.
        on: The day on which ages count.
        at: Sessions that begin before count; None for all with a published roster.
    """
    places = _load_places(_Before(season_id, site_id, at))
    rows = _load_people({place.person for place in places})
    shares = _add_up(places, rows.values(), on)
    grown = {person: row for person, row in rows.items() if _is_grown(row, on)}
    lines = [
        _line(grown[person], share)
        for person, share in shares.items()
        if person in grown and grown[person].erased_at is None
    ]
    return SeasonShares(
        lines=tuple(sorted(lines, key=lambda line: line.name)),
        young=sum(person not in grown for person in shares),
        sessions=len({place.session for place in places}),
    )


def _line(row: Person, share: PastShare) -> ShareLine:
    said = (row.heavy_liking, *(int(liking) for liking in row.preferences.values()))
    return build_line(str(row), share, said, bool(row.wished_skills))


def build_line(name: str, share: PastShare, said: tuple[int, ...], wishes: bool) -> ShareLine:
    """Return a person's line; `said` are their likings, that of heavy work first."""
    return ShareLine(name, share, max(said) > 0, wishes, min(said) < 0, said[0] > 0)


def _published(before: _Before) -> QuerySet[RosterPlace]:
    places = RosterPlace.objects.filter(
        person__isnull=False, roster__state=Roster.State.PUBLISHED
    ).exclude(roster__session__state=Session.State.CALLED_OFF)
    return places if before.at is None else places.filter(roster__session__starts_at__lt=before.at)


def _count_sessions(before: _Before) -> dict[PersonId, int]:
    """Return in how many earlier sessions of the site, of any season, each person had a place."""
    rows = _published(before).filter(roster__session__season__site_id=before.site_id)
    counted = rows.order_by().values("person_id").annotate(n=Count("roster", distinct=True))
    return {PersonId(row["person_id"]): row["n"] for row in counted}


def _load_places(before: _Before) -> tuple[PastPlace, ...]:
    rows = _published(before).filter(roster__session__season_id=before.season_id)
    return tuple(
        PastPlace(session, round_, PersonId(person), TaskId(task))
        for session, round_, person, task in rows.order_by("pk").values_list(
            "roster__session_id", "round", "person_id", "task_id"
        )
    )


def _load_people(ids: Iterable[int]) -> dict[PersonId, Person]:
    rows = Person.objects.filter(pk__in=sorted(ids)).order_by("pk")
    return {PersonId(row.pk): row for row in rows}


def _add_up(
    places: tuple[PastPlace, ...], rows: Iterable[Person], on: date
) -> dict[PersonId, PastShare]:
    rounds = Session.objects.filter(pk__in={place.session for place in places})
    work = {
        TaskId(kept.id): PastWork(
            kept.task.kind,
            kept.task.heavy,
            tuple(need.skill for need in kept.task.skills if need.count > 0),
        )
        for kept in load_tasks_by_id({place.task for place in places})
    }
    people = [
        PastPerson(
            PersonId(row.pk),
            is_grown=_is_grown(row, on),
            may_lift=Restriction.NO_LIFTING not in row.restrictions,
            preferences=tuple(sorted((kind, int(n)) for kind, n in row.preferences.items())),
            wished_skills=tuple(sorted(row.wished_skills)),
            heavy_liking=row.heavy_liking,
        )
        for row in rows
    ]
    return add_up_past(places, dict(rounds.values_list("pk", "rounds")), work, people)


def _is_grown(row: Person, on: date) -> bool:
    return age_on(row.birth_year, row.birth_month, on) >= ADULT_AGE


def _experience(row: Person, sessions: int, on: date) -> int:
    return find_experience(kept=row.experience, sessions=sessions, is_grown=_is_grown(row, on))
