"""Who turns up on a day: parties that come or stay away together, drawn by chance.

Front doors: `build_parties`, `draw_turnout`. The same seed draws the same days,
and a party more leaves the others as they were. Not for how many to count on
(`attendance`), and not for what the day is worth then (`planner.chance`).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from scheduling.domain.attendance import SINGLE_PEOPLE, WHOLE_CLASS, Beta
from scheduling.domain.people import PersonId
from scheduling.domain.problem import RosterProblem


@dataclass(frozen=True, slots=True)
class Party:
    """People who come together or not at all."""

    people: tuple[PersonId, ...]
    is_class: bool = False


def build_parties(problem: RosterProblem) -> tuple[Party, ...]:
    """Return everybody signed up, by who comes with whom, in a fixed order.

    Args:
        problem: The day.

    Assumes:
        A class comes with its staff as one. Young people whose guardian is
        signed up come with the guardian; everybody else comes alone. Nobody has
        a chance of their own: there is no score on anybody, least of all on a
        minor.
    """
    here = {person.id for person in problem.people}
    gathered: dict[tuple[int, int], list[PersonId]] = {}
    for person in sorted(problem.people, key=lambda person: person.id):
        group = person.group if person.group is not None else person.staff_of
        if group is not None:
            key = (0, int(group))
        elif person.is_young and person.guardian in here and person.guardian is not None:
            key = (1, int(person.guardian))
        else:
            key = (1, int(person.id))
        gathered.setdefault(key, []).append(person.id)
    return tuple(
        Party(tuple(people), is_class=key[0] == 0) for key, people in sorted(gathered.items())
    )


def draw_turnout(
    parties: tuple[Party, ...],
    *,
    draws: int,
    seed: int,
    singles: Beta = SINGLE_PEOPLE,
    classes: Beta = WHOLE_CLASS,
) -> NDArray[np.bool_]:
    """Return who comes in each draw, shape (draws, parties).

    Args:
        parties: Who comes with whom.
        draws: How many days to draw, 1 or more.
        seed: Of the draws. Parties appended later leave those before as drawn.
        singles: Belief about the chance that a party comes; one chance a day is
            drawn for all of them, as the same weather keeps all away.
        classes: Belief about a class coming; its mean is used.

    Source:
        Beta-binomial: a chance from a beta distribution, then independent
        parties (as in `attendance.turnout_chances`). Common random numbers.
    """
    generator = np.random.default_rng((seed, 0))
    chance = generator.beta(singles.came, singles.missed, draws)
    comes = np.zeros((draws, len(parties)), dtype=np.bool_)
    for number, party in enumerate(parties, start=1):
        generator = np.random.default_rng((seed, number))
        even = generator.random(draws)
        comes[:, number - 1] = even < (classes.mean if party.is_class else chance)
    return comes


def wilson_interval(hits: int, draws: int, z: float = 1.959964) -> tuple[float, float]:
    """Return the interval in which a chance lies, from so many hits in so many draws.

    Args:
        hits: 0 to `draws`.
        draws: 0 or more; with none the interval is 0 to 1.
        z: Of the normal distribution, 1.96 for 95 %.

    Source:
        E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209–212.
    """
    if draws <= 0:
        return 0.0, 1.0
    share = hits / draws
    spread = z * z / draws
    middle = (share + spread / 2) / (1 + spread)
    half = z / (1 + spread) * float(np.sqrt(share * (1 - share) / draws + spread / (4 * draws)))
    return max(0.0, middle - half), min(1.0, middle + half)
