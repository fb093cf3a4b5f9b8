"""For whom a session still has spaces, by age: the rule book asked with people made up for it.

Front door: `find_openings`. What it says is what sign-up would answer to adults and young
people with a consent, without restrictions, whom nobody knows yet. Not for anybody in
particular: sign-up asks that.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduling.domain.admission import check_admission
from scheduling.domain.names_hidden import hide_names
from scheduling.domain.people import Band, PersonId
from scheduling.domain.problem import Consent, Person, RosterProblem
from scheduling.domain.rule import Finding, Severity

FIRST_MADE_UP = 1_000_000_000
"""Ids of the people made up, above those any database has given yet."""

MOST_ASKED = 10
"""So many more of an age are asked for at the most: the page is read by many at once."""

AGES: dict[Band, tuple[int, int]] = {
    Band.ADULT: (18, 18),
    Band.FROM_16: (16, 17),
    Band.FROM_12: (12, 15),
    Band.UNDER_12: (6, 11),
}
"""Youngest and oldest asked for in each band; the youngest is the strictest to supervise."""

WORDS: dict[Band, str] = {
    Band.ADULT: "adults",
    Band.FROM_16: "16 and 17 years",
    Band.FROM_12: "12 to 15 years",
    Band.UNDER_12: "under 12, each with an adult of their own",
}


@dataclass(frozen=True, slots=True)
class Opening:
    """How many more of an age may come as things stand, and what stops the next one.

    `room` counts the young people or adults, not the guardians who come with children;
    `because` is None where only the number of spaces stops the next, or nobody asked for
    more: then `or_more` is true.
    """

    band: Band
    room: int
    because: Finding | None = None
    or_more: bool = False

    @property
    def who(self) -> str:
        """The ages in words."""
        return WORDS[self.band]


def find_openings(problem: RosterProblem, free: int) -> tuple[Opening, ...]:
    """Return for each age band how many more may come, adults first.

    Args:
        problem: Everybody confirmed.
        free: Spaces nobody has.

    Returns:
        One a band, the number the most that the rule book lets in together, up to
        `MOST_ASKED`; nothing when no space is free.

    Assumes:
        Who may not come with three more may not with four: newcomers only ask for more.
    """
    if free < 1:
        return ()
    return tuple(_find_opening(problem, band, free) for band in sorted(AGES, reverse=True))


def _find_opening(problem: RosterProblem, band: Band, free: int) -> Opening:
    room = free // 2 if band is Band.UNDER_12 else free
    most = min(room, MOST_ASKED)
    stops = _what_stops(problem, band, most)
    if stops is None:
        return Opening(band, most, or_more=room > most)
    able, unable = 0, most
    while unable - able > 1:
        middle = (able + unable) // 2
        found = _what_stops(problem, band, middle)
        if found is None:
            able = middle
        else:
            unable, stops = middle, found
    return Opening(band, able, stops)


def _what_stops(problem: RosterProblem, band: Band, count: int) -> Finding | None:
    """Return the gravest finding that keeps so many from coming together, or None."""
    made_up = _make_up(problem, band, count)
    ids = tuple(person.id for person in made_up)
    asked = hide_names(replace(problem, people=(*problem.people, *made_up)), keep=ids)
    blocking = (
        finding
        for finding in check_admission(asked, ids).findings
        if finding.severity is Severity.BLOCKS
    )
    return next(blocking, None)


def _make_up(problem: RosterProblem, band: Band, count: int) -> Sequence[Person]:
    youngest, oldest = AGES[band]
    least = min((task.minimum_age for task in problem.tasks), default=youngest)
    newcomer = Person(
        id=PersonId(0),
        name="a newcomer",
        age=min(max(youngest, least), oldest),
        present=(True,) * problem.rounds,
        consents=(Consent(problem.consent_version, problem.on, problem.on),),
    )
    people = []
    for number in range(count):
        own = PersonId(FIRST_MADE_UP + 2 * number)
        if band is not Band.UNDER_12:
            people.append(replace(newcomer, id=own))
            continue
        with_them = PersonId(own + 1)
        people.append(replace(newcomer, id=own, guardian=with_them))
        people.append(replace(newcomer, id=with_them, age=AGES[Band.ADULT][0], consents=()))
    return people
