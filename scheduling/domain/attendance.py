"""Who will come: how many of those signed up to count on.

The chance that a person comes is uncertain itself, so the number who come is
beta-binomial; a class comes or stays away as one block. Exact fractions, summed
term by term. Not for scores of single people: nobody's reliability is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import comb

from orchard.domain.errors import RosterError

Chances = tuple[Fraction, ...]  # chance of exactly 0, 1, 2 … people


@dataclass(frozen=True, slots=True)
class Beta:
    """What is believed about the chance of turning up: as if so many came, so many did not."""

    came: float
    missed: float

    def __post_init__(self) -> None:
        if not (self.came > 0 and self.missed > 0):
            raise RosterError(
                f"A belief of {self.came} who came and {self.missed} who did not is not usable; "
                "both must be above 0."
            )

    def after(self, *, came: int, missed: int) -> "Beta":
        """Return the belief after so many more signed-up people came and did not come."""
        return Beta(self.came + came, self.missed + missed)

    @property
    def mean(self) -> float:
        """The expected chance of turning up, 0 to 1."""
        return self.came / (self.came + self.missed)


# Our estimate, not a finding: free one-off public days commonly lose 20 to 50 %
# of sign-ups (trade habit, no source), so 70 %, worth ten people's evidence.
SINGLE_PEOPLE = Beta(7, 3)
# Our estimate: a class comes all together or not at all, 95 % of the time.
WHOLE_CLASS = Beta(19, 1)


@dataclass(frozen=True, slots=True)
class ClassBlock:
    """A class with its staff: `size` people who come together or not at all."""

    size: int
    prior: Beta = WHOLE_CLASS


def binomial_chances(people: int, chance: Fraction) -> Chances:
    """Return the chance of each number coming when the chance of one is known.

    Args:
        people: Signed up, 0 or more.
        chance: Of one person coming, 0 to 1.
    """
    return tuple(
        comb(people, k) * chance**k * (1 - chance) ** (people - k) for k in range(people + 1)
    )


def turnout_chances(signed_up: int, prior: Beta) -> Chances:
    """Return the chance of each number coming when the chance of one is uncertain.

    Args:
        signed_up: People signed up singly, 0 or more.
        prior: What is believed about their chance of turning up.

    Returns:
        Chances of exactly 0 to `signed_up` people, which add up to 1.

    Source:
        Beta-binomial distribution: C(n, k) B(k + a, n − k + b) / B(a, b), with
        the beta functions written as products of rising factorials.
    """
    if signed_up < 0:
        raise RosterError(f"{signed_up} sign-ups cannot be; give 0 or more.")
    a, b = Fraction(prior.came), Fraction(prior.missed)
    coming, staying = _rising(a, signed_up), _rising(b, signed_up)
    whole = _rising(a + b, signed_up)[signed_up]
    return tuple(
        comb(signed_up, k) * coming[k] * staying[signed_up - k] / whole
        for k in range(signed_up + 1)
    )


def _rising(start: Fraction, count: int) -> list[Fraction]:
    """Return 1, start, start (start + 1) … up to `count` factors."""
    found = [Fraction(1)]
    for k in range(count):
        found.append(found[-1] * (start + k))
    return found


def with_classes(chances: Chances, classes: Sequence[ClassBlock]) -> Chances:
    """Return the chances of each number when classes come on top, each all or nothing."""
    for block in classes:
        comes = Fraction(block.prior.came) / (
            Fraction(block.prior.came) + Fraction(block.prior.missed)
        )
        together = [Fraction(0)] * (len(chances) + block.size)
        for k, chance in enumerate(chances):
            together[k] += chance * (1 - comes)
            together[k + block.size] += chance * comes
        chances = tuple(together)
    return chances


def chance_of_at_least(chances: Chances, wanted: int) -> Fraction:
    """Return the chance that at least `wanted` people come."""
    return sum(chances[max(0, wanted) :], Fraction(0))


def quantile_of(chances: Chances, quantile: float) -> int:
    """Return the smallest number whose chance of not being exceeded reaches the quantile.

    Args:
        chances: Of exactly 0, 1, 2 … people.
        quantile: Above 0 and below 1.

    Raises:
        RosterError: If the quantile is 0 or less, or 1 or more.
    """
    if not 0 < quantile < 1:
        raise RosterError(f"A quantile of {quantile} cannot be; give one between 0 and 1.")
    wanted, summed = Fraction(quantile), Fraction(0)
    for number, chance in enumerate(chances):
        summed += chance
        if summed >= wanted:
            return number
    return len(chances) - 1


def cautious_count(signed_up: int, prior: Beta, quantile: float) -> int:
    """Return the number of people to count on out of those signed up singly.

    Args:
        signed_up: People signed up singly, 0 or more.
        prior: What is believed about their chance of turning up.
        quantile: How often, at most, fewer may come: 0.2 for one day in five.

    Returns:
        The quantile of the number coming: with a chance above 1 − quantile at
        least so many come.
    """
    return quantile_of(turnout_chances(signed_up, prior), quantile)


def signups_needed(wanted: int, chance: Fraction, target: Fraction) -> int:
    """Return the fewest sign-ups with which at least `wanted` come often enough.

    Args:
        wanted: People needed on the day, 0 or more.
        chance: Of one person coming, above 0 and at most 1.
        target: How often at least so many must come, 0 up to but not 1.

    Raises:
        RosterError: If the chance or the target lies outside those.
    """
    if not (0 < chance <= 1 and 0 <= target < 1):
        raise RosterError(
            f"A chance of {float(chance):g} and a target of {float(target):g} cannot be met; the "
            "chance must be above 0 and the target below 1."
        )
    people = wanted
    while chance_of_at_least(binomial_chances(people, chance), wanted) < target:
        people += 1
    return people
