"""Who will come: how many of those signed up to count on.

The chance that a person comes is uncertain itself, so the number who come is
beta-binomial; a class comes or stays away as one block. Exact fractions, summed
term by term. Not for scores of single people: nobody's reliability is kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations
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

    def worth_at_most(self, people: float) -> "Beta":
        """Return the belief with the same mean, worth no more evidence than so many people."""
        worth = self.came + self.missed
        if worth <= people:
            return self
        return Beta(self.came * people / worth, self.missed * people / worth)

    @property
    def mean(self) -> float:
        """The expected chance of turning up, 0 to 1."""
        return self.came / (self.came + self.missed)


# Our estimate, not a finding: free one-off public days commonly lose 20 to 50 %
# of sign-ups (trade habit, no source), so 70 %, worth ten people's evidence.
SINGLE_PEOPLE = Beta(7, 3)
# Our estimate: a class comes all together or not at all, 95 % of the time.
WHOLE_CLASS = Beta(19, 1)


# Our estimate: days differ (weather, holidays), so however many sign-ups a site has seen, one
# day's chance is not known better than by forty people's evidence: give or take 7 points at 70 %.
MOST_EVIDENCE = 40.0
# Our estimate: one day in twenty may bring more people than the site takes.
OVER_RISK = 0.05
MOST_TRIED = 10  # sign-ups for each space: beyond that a belief says that nobody comes


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed about turning up: people who come singly, and whole classes.

    `sessions` is how many of the site's own sessions taught it.
    """

    singles: Beta = SINGLE_PEOPLE
    classes: Beta = WHOLE_CLASS
    sessions: int = 0


COMMON_BELIEF = Belief()


@dataclass(frozen=True, slots=True)
class DaySeen:
    """One session over: who was signed up when it was recorded, and how many came.

    `singles` signed up singly; `classes` are the heads of each class, staff counted.
    """

    singles: int
    classes: tuple[int, ...]
    people: int


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


def learn_belief(days: Sequence[DaySeen], prior: Belief = COMMON_BELIEF) -> Belief:
    """Return what a site's own past makes of a belief. Sums over everybody, never over one person.

    Args:
        days: The site's recorded sessions.
        prior: What is believed before them.

    Returns:
        Singles by Beta-binomial updating, classes one Bernoulli trial each. What
        many days teach is held to `MOST_EVIDENCE`, since days differ.

    Assumes:
        A head count does not say who came. It is split only where it can be in
        one way: a class is there whole or not at all. People beyond everybody
        signed up are passers-by. What could be read in two ways teaches nothing.
    """
    came = missed = classes_came = classes_missed = sessions = 0
    for day in days:
        split = _split_day(day)
        if split is None:
            continue
        singles, there = split
        came, missed = came + singles, missed + day.singles - singles
        classes_came += there
        classes_missed += len(day.classes) - there
        sessions += 1
    return Belief(
        prior.singles.after(came=came, missed=missed).worth_at_most(MOST_EVIDENCE),
        prior.classes.after(came=classes_came, missed=classes_missed).worth_at_most(MOST_EVIDENCE),
        prior.sessions + sessions,
    )


def _split_day(day: DaySeen) -> tuple[int, int] | None:
    """Return how many singles and how many classes came, or None if that cannot be told."""
    if day.people >= day.singles + sum(day.classes):
        return day.singles, len(day.classes)
    found = {
        (day.people - sum(there), count)
        for count in range(len(day.classes) + 1)
        for there in combinations(day.classes, count)
        if 0 <= day.people - sum(there) <= day.singles
    }
    return found.pop() if len(found) == 1 else None


def most_signups(
    capacity: int, belief: Belief, *, classes: Sequence[int] = (), risk: float = OVER_RISK
) -> int:
    """Return how many people may be signed up singly without too many coming too often.

    Args:
        capacity: The most people the site takes that day, classes included.
        belief: About turning up.
        classes: Heads of each class signed up.
        risk: How often, at most, more than `capacity` may come; 0 up to but not 1.

    Returns:
        The largest number with P(more than capacity come) at most `risk`; 0 if
        the classes alone are too many too often.

    Raises:
        RosterError: If the risk lies outside those.
    """
    if not 0 <= risk < 1:
        raise RosterError(f"A risk of {risk:g} cannot be; give one from 0 up to but not 1.")
    blocks = [ClassBlock(size, belief.classes) for size in classes]
    people = 0
    while people < MOST_TRIED * (capacity + 1):
        chances = with_classes(turnout_chances(people + 1, belief.singles), blocks)
        if chance_of_at_least(chances, capacity + 1) > Fraction(risk):
            break
        people += 1
    return people


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
