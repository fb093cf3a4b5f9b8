"""From the people who may come to what a session can do: classes, sets of them, minutes.

People become kinds alike in age band and skills, and minutes that any set of
kinds can give, so that nobody is named. Not for tasks: `capacity` builds the season.
"""

from dataclasses import dataclass
from datetime import date
from math import ceil, floor

from scheduling.domain.people import Band, SessionId
from scheduling.domain.season import Demand, Item, PeopleClass, SeasonSession, SetCapacity
from scheduling.domain.season_comfort import Comfort

LEADING_SHARE = 0.5  # invented default: the part of a session a lead spends on leading
PEOPLE_PER_CREW = 5  # invented default: how many people share a lead
MOST_SETS = 48  # beyond this only the largest unions are left out


@dataclass(frozen=True, slots=True)
class OutlookPerson:
    """One person who may come: band, skills in date, and the chance of coming, 0 to 1."""

    band: Band
    skills: tuple[str, ...]
    likely: float


@dataclass(frozen=True, slots=True)
class SessionOutlook:
    """One session as it may turn out. `usable_min` is one person's working minutes in it."""

    id: SessionId
    on: date
    usable_min: int
    rounds: int
    people: tuple[OutlookPerson, ...]
    tools: tuple[tuple[str, int], ...]
    most_crews: int


def build_classes(
    sessions: tuple[SessionOutlook, ...], skills: set[str]
) -> tuple[PeopleClass, ...]:
    """Return the kinds of people expected, alike in band and in those of the skills they hold."""
    kinds = {
        (person.band, tuple(sorted(skills & set(person.skills))))
        for session in sessions
        for person in session.people
    }
    return tuple(PeopleClass(number, *kind) for number, kind in enumerate(sorted(kinds)))


def _holders(demand: Demand, classes: tuple[PeopleClass, ...]) -> frozenset[int]:
    return frozenset(
        people.id
        for people in classes
        if people.band >= demand.least_band and (not demand.skill or demand.skill in people.skills)
    )


def build_sets(
    items: tuple[Item, ...], classes: tuple[PeopleClass, ...]
) -> tuple[frozenset[int], ...]:
    """Return the sets of classes that some demand, or several together, can draw on.

    By Hall's condition these are all that can be overdrawn; a set missing when
    there are very many only makes the season more hopeful.
    """
    demands = sorted({demand for item in items for demand in item.demands}, key=repr)
    drawn = {_holders(demand, classes) for demand in demands}
    sets = set(drawn)
    frontier = set(drawn)
    while frontier and len(sets) < MOST_SETS:
        frontier = {one | other for one in frontier for other in drawn} - sets
        sets |= frontier
    in_order = sorted(sets, key=lambda among: (among not in drawn, len(among), sorted(among)))
    kept = in_order[: max(MOST_SETS, len(drawn))]
    everyone = frozenset(people.id for people in classes)
    return tuple(kept) if everyone in kept else (*kept, everyone)


def build_session(
    session: SessionOutlook,
    classes: tuple[PeopleClass, ...],
    sets: tuple[frozenset[int], ...],
    pace_percent: tuple[int, int, int, int],
    lead_skill: str,
    caution: float,
    comfort: Comfort,
) -> SeasonSession:
    """Return a session as the season sees it.

    Args:
        session: As it may turn out.
        classes: All kinds of people of the season.
        sets: The sets of kinds whose minutes are counted.
        pace_percent: Work per minute by age band, youngest first, adult 100.
        lead_skill: The skill a crew's lead holds.
        caution: Part of the expected minutes that is planned with, 0 to 1.
        comfort: What it should hold for the young.
    """
    minutes = _class_minutes(session, classes, pace_percent)
    leads = frozenset(people.id for people in classes if lead_skill in people.skills)
    expected = sum(person.likely for person in session.people)
    crews = min(session.most_crews, ceil(expected / PEOPLE_PER_CREW))
    leading = crews * session.usable_min * LEADING_SHARE
    return SeasonSession(
        id=session.id,
        on=session.on,
        usable_min=session.usable_min,
        people_expected=floor(expected + 1e-9),
        capacity=tuple(
            SetCapacity(
                tuple(sorted(among)),
                # Leading is a demand on the leads, so it counts against every set they are in.
                max(
                    0, floor(caution * sum(minutes[c] for c in among) - leading * (leads <= among))
                ),
            )
            for among in sorted(sets, key=lambda among: (len(among), sorted(among)))
        ),
        tools=tuple(sorted(session.tools)),
        most_crews=session.most_crews,
        young=_young_minutes(minutes, classes, caution * comfort.young_percent / 100),
    )


def _young_minutes(
    minutes: dict[int, float], classes: tuple[PeopleClass, ...], share: float
) -> tuple[tuple[Band, int], ...]:
    """Return, by band below adult that is expected, what it and younger ones should be given."""
    found = []
    for band in sorted({people.band for people in classes} - {Band.ADULT}):
        here = sum(minutes[people.id] for people in classes if people.band == band)
        young = sum(minutes[people.id] for people in classes if people.band <= band)
        if here > 0 and floor(share * young) > 0:
            found.append((band, floor(share * young)))
    return tuple(found)


def _class_minutes(
    session: SessionOutlook,
    classes: tuple[PeopleClass, ...],
    pace_percent: tuple[int, int, int, int],
) -> dict[int, float]:
    """Return the expected minutes of each class in the session, at adult pace."""
    known = {skill for people in classes for skill in people.skills}
    number = {(people.band, people.skills): people.id for people in classes}
    minutes = {people.id: 0.0 for people in classes}
    for person in session.people:
        kind = number[person.band, tuple(sorted(known & set(person.skills)))]
        minutes[kind] += person.likely * session.usable_min * pace_percent[person.band] / 100
    return minutes
