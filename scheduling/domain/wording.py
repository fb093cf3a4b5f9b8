"""Small pieces of the sentences that rules, findings and sheets share.

Lists of names, days, rounds and numbers as a coordinator would write them. Not
for whole sentences: those stand where the reason for them is.
"""

from collections.abc import Iterable, Sequence
from datetime import date

MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
SMALL_NUMBERS = (
    "no", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine", "ten", "eleven", "twelve",
)  # fmt: skip


def list_words(words: Sequence[str], most: int = 4) -> str:
    """Return words as a list in a sentence: "Ana, Ben and 3 more".

    Args:
        words: What to list, already in order.
        most: How many to write out before the rest is only counted.

    Returns:
        The list, or "nobody" when there is nothing to list.
    """
    if not words:
        return "nobody"
    if len(words) == 1:
        return words[0]
    if len(words) <= most:
        return f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{', '.join(words[: most - 1])} and {len(words) - most + 1} more"


def list_titles(titles: Sequence[str], most: int = 4) -> str:
    """Return titles in quotation marks as a list in a sentence."""
    return list_words([f"“{title}”" for title in titles], most)


def day_words(on: date) -> str:
    """Return a day as "17 April 2027"."""
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def weekday_words(on: date) -> str:
    """Return a day as "Saturday 17 April 2027", whatever the machine's locale."""
    return f"{WEEKDAYS[on.weekday()]} {day_words(on)}"


def number_words(number: int) -> str:
    """Return a small number as a word, a larger one in figures."""
    return SMALL_NUMBERS[number] if 0 <= number < len(SMALL_NUMBERS) else str(number)


def round_words(rounds: Sequence[int]) -> str:
    """Return rounds counted from 1 as people count them: "rounds 1 to 3", "round 2".

    Args:
        rounds: Rounds counted from 0, in order, at least one.
    """
    shown = [r + 1 for r in rounds]
    if len(shown) == 1:
        return f"round {shown[0]}"
    if shown[-1] - shown[0] == len(shown) - 1 and len(shown) > 2:
        return f"rounds {shown[0]} to {shown[-1]}"
    return f"rounds {list_words([str(r) for r in shown], most=len(shown))}"


def stop(text: str) -> str:
    """Return the text with one full stop at its end; names may bring their own."""
    return text if text.endswith(".") else f"{text}."


def plural(number: int, one: str) -> str:
    """Return a number with its noun, with -s for any number but 1."""
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def unit_words(number: int, unit: str) -> str:
    """Return a count with its unit: "1 hole", "12 holes", "8 m²".

    Args:
        number: How many.
        unit: A noun in the singular, or a unit's symbol such as m².
    """
    return plural(number, unit) if unit.isalpha() else f"{number} {unit}"


def part_words(part: int, whole: int, unit: str) -> str:
    """Return a part of a count, every figure with its unit: "5 of 12 holes", "3 m² of 8 m²".

    Where the unit is a symbol it stands with both, so that both are turned into
    another one together.

    Args:
        part: How many of them.
        whole: How many there are.
        unit: A noun in the singular, or a unit's symbol such as m².
    """
    if unit.isalpha():
        return f"{part} of {unit_words(whole, unit)}"
    return f"{unit_words(part, unit)} of {unit_words(whole, unit)}"


def listed(words: Iterable[str]) -> str:
    """Return every word in a list: "a, b and c"; empty for nothing."""
    every = list(words)
    return list_words(every, most=len(every)) if every else ""
