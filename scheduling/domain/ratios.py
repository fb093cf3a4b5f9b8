"""How many adults numbers of young people ask for, in exact fractions.

The one home of this sum, so that rules, verdicts, sign-up and the liaison's
page cannot differ: a float sum of 7/6 + 10/8 + 7/12 comes out above 3 and would
ask for a fourth adult. Not for who counts (`supervision`) or where (`verify`).
"""

from collections.abc import Iterable
from fractions import Fraction
from math import ceil

from scheduling.domain.rule_set import NO_NUMBER, Combining

Counts = Iterable[tuple[int, int]]  # young people, and how many of them one adult may supervise


def sum_of_shares(counts: Counts) -> Fraction:
    """Return the adults that numbers of young people ask for together, not rounded.

    Args:
        counts: Young people and their ratio (one adult to so many); 0 for a
            ratio the table leaves open, which asks for nothing here.
    """
    return sum((Fraction(n, ratio) for n, ratio in counts if ratio != NO_NUMBER), Fraction(0))


def adults_by_ratio(combining: Combining, counts: Counts) -> int:
    """Return the adults that numbers of young people ask for at their ratios.

    Args:
        combining: How the parts are put together: shares added and rounded up
            once; everyone at the smallest ratio there; each part rounded up.
        counts: Young people and their ratio (one adult to so many); 0 for a
            ratio the table leaves open.

    Returns:
        Whole adults; nothing added, no floor.

    Source:
        No body publishes how to combine mixed ages; the three ways are common
        practice, no source.
    """
    there = [(n, ratio) for n, ratio in counts if n > 0]
    numbered = [(n, ratio) for n, ratio in there if ratio != NO_NUMBER]
    if not numbered:
        return 0
    match combining:
        case Combining.SUM:
            return ceil(sum_of_shares(numbered))
        case Combining.YOUNGEST:
            return ceil(Fraction(sum(n for n, _ in there), min(ratio for _, ratio in numbered)))
        case Combining.SECTIONS:
            return sum(ceil(Fraction(n, ratio)) for n, ratio in numbered)
