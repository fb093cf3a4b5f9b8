"""Adds up the season's earlier rosters: what each person has carried, beside an even share.

Front doors: `add_up_past`, `find_experience`. Takes places as the rosters told them,
the ones mended on the day included; who came without a place is not known and not
guessed. Not for what a share is worth (`past_share`), and nothing of it is kept.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from scheduling.domain.past_share import MANY, PastShare
from scheduling.domain.people import OLD_HAND, PersonId, TaskId

SESSIONS_OF_OLD_HAND = 6
"""Sessions after which an adult counts as an old hand: invented default, about half a season."""
SESSIONS_TO_SETTLE = 3
"""Sessions after which nobody is new, old hand beside them or not: invented default."""


@dataclass(frozen=True, slots=True)
class PastPlace:
    """One person at a task in a round of an earlier session."""

    session: int
    round: int
    person: PersonId
    task: TaskId


@dataclass(frozen=True, slots=True)
class PastWork:
    """What matters of a task that was worked at."""

    kind: str
    heavy: bool = False
    skills: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PastPerson:
    """What matters of a person: what they say today, and whether an even share is measured by them.

    `is_grown` is an adult, `may_lift` one who did not ask for no lifting.
    """

    id: PersonId
    is_grown: bool = True
    may_lift: bool = True
    preferences: tuple[tuple[str, int], ...] = ()
    wished_skills: tuple[str, ...] = ()
    heavy_liking: int = 0  # as of `problem.Person`

    @property
    def dislikes_some(self) -> bool:
        """Whether there is work they said they dislike."""
        return self.heavy_liking < 0 or any(liking < 0 for _, liking in self.preferences)

    @property
    def likes_some(self) -> bool:
        """Whether there is work they said they like."""
        return self.heavy_liking > 0 or any(liking > 0 for _, liking in self.preferences)


@dataclass(slots=True)
class _Counts:
    """One person's rounds, being added up."""

    sessions: set[int]
    kinds: Counter[str]
    rounds: int = 0
    heavy: int = 0
    liked: int = 0
    disliked: int = 0
    learned: int = 0
    idle: int = 0


def add_up_past(
    places: Iterable[PastPlace],
    rounds_of: Mapping[int, int],
    work: Mapping[TaskId, PastWork],
    people: Iterable[PastPerson],
) -> dict[PersonId, PastShare]:
    """Return each person's counts and their even share.

    Args:
        places: Of the season's earlier sessions, in any order.
        rounds_of: Rounds of each of those sessions.
        work: The tasks worked at.
        people: Everybody who may be in a place; others' places are left out.

    Returns:
        By person, those who had a place. An even share is the rate of all adults
        together (heavy work: those who may lift; liked and disliked work: those who
        like or dislike some) times the person's own rounds, to the nearest whole round.
    """
    known = {person.id: person for person in people}
    counts: dict[PersonId, _Counts] = {}
    for place in sorted(places, key=lambda p: (p.person, p.session, p.round)):
        if place.person in known and place.task in work:
            _count(counts, known[place.person], place, work[place.task])
    for mine in counts.values():
        mine.idle = max(0, sum(rounds_of.get(s, 0) for s in mine.sessions) - mine.rounds)
    grown = [person for person in known.values() if person.is_grown and person.id in counts]
    lifting = [counts[p.id] for p in grown if p.may_lift]
    disliking = [counts[p.id] for p in grown if p.dislikes_some]
    liking = [counts[p.id] for p in grown if p.likes_some]
    everybody = [counts[p.id] for p in grown]
    return {
        person: PastShare(
            sessions=len(mine.sessions),
            rounds=mine.rounds,
            idle=mine.idle,
            heavy=mine.heavy,
            liked=mine.liked,
            disliked=mine.disliked,
            learned=mine.learned,
            even_idle=_even(
                sum(one.idle for one in everybody),
                sum(one.idle + one.rounds for one in everybody),
                mine.idle + mine.rounds,
            ),
            even_heavy=_even_of(lifting, "heavy", mine),
            even_disliked=_even_of(disliking, "disliked", mine)
            if known[person].dislikes_some
            else 0,
            even_liked=_even_of(liking, "liked", mine) if known[person].likes_some else 0,
            again=_find_again(known[person], mine, everybody),
        )
        for person, mine in counts.items()
    }


def _count(
    counts: dict[PersonId, _Counts], person: PastPerson, place: PastPlace, work: PastWork
) -> None:
    mine = counts.setdefault(person.id, _Counts(set(), Counter()))
    liking = dict(person.preferences).get(work.kind, 0) + person.heavy_liking * work.heavy
    mine.sessions.add(place.session)
    mine.kinds[work.kind] += 1
    mine.rounds += 1
    mine.heavy += work.heavy
    mine.liked += liking > 0
    mine.disliked += liking < 0
    mine.learned += bool(set(person.wished_skills) & set(work.skills))


def _even(total: int, of: int, mine: int) -> int:
    """Return `mine` at the rate `total` to `of`, to the nearest whole, halves up."""
    return (2 * total * mine + of) // (2 * of) if of else 0


def _even_of(measured: list[_Counts], name: str, mine: _Counts) -> int:
    total: int = sum(getattr(one, name) for one in measured)
    return _even(total, sum(one.rounds for one in measured), mine.rounds)


def _find_again(person: PastPerson, mine: _Counts, everybody: list[_Counts]) -> tuple[str, ...]:
    """Return kinds not liked that are more than half of the rounds, and far above an even share."""
    of = sum(one.rounds for one in everybody)
    liked = {kind for kind, liking in person.preferences if liking > 0}
    return tuple(
        kind
        for kind, rounds in sorted(mine.kinds.items())
        if kind not in liked
        and 2 * rounds > mine.rounds
        and rounds - _even(sum(one.kinds[kind] for one in everybody), of, mine.rounds) >= MANY
    )


def find_experience(
    *, kept: int, sessions: int, is_grown: bool, knows_an_old_hand: bool = False
) -> int:
    """Return how used somebody is to the work: 0 new, 1 came before, 2 old hand.

    Args:
        kept: What is on file of them, which is never lowered.
        sessions: Earlier sessions of the site with a place for them.
        is_grown: Only an adult becomes an old hand by coming.
        knows_an_old_hand: Whether they ever worked in a crew with one.
    """
    if is_grown and sessions >= SESSIONS_OF_OLD_HAND:
        return max(kept, OLD_HAND)
    settled = sessions >= SESSIONS_TO_SETTLE or (sessions > 0 and knows_an_old_hand)
    return max(kept, int(settled))


def find_company(
    places: Iterable[PastPlace], old_hands: frozenset[PersonId]
) -> frozenset[PersonId]:
    """Return who was ever in a crew with an old hand other than themselves."""
    crews: dict[tuple[int, int, TaskId], set[PersonId]] = defaultdict(set)
    for place in places:
        crews[place.session, place.round, place.task].add(place.person)
    return frozenset(
        person for crew in crews.values() for person in crew if (crew & old_hands) - {person}
    )
