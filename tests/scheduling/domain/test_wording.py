"""Pieces of sentences."""

from datetime import date

import pytest

from scheduling.domain.wording import (
    day_words,
    list_titles,
    list_words,
    number_words,
    round_words,
    stop,
)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "nobody"),
        (["Ana"], "Ana"),
        (["Ana", "Ben"], "Ana and Ben"),
        (["Ana", "Ben", "Cy", "Di"], "Ana, Ben, Cy and Di"),
        (["Ana", "Ben", "Cy", "Di", "Ed"], "Ana, Ben, Cy and 2 more"),
    ],
)
def test_lists(words: list[str], said: str) -> None:
    assert list_words(words) == said


@pytest.mark.parametrize(
    ("rounds", "said"),
    [((1,), "round 2"), ((0, 1), "rounds 1 and 2"), ((0, 1, 2), "rounds 1 to 3"),
     ((0, 2, 3), "rounds 1, 3 and 4")],
)  # fmt: skip
def test_rounds_count_from_one(rounds: tuple[int, ...], said: str) -> None:
    assert round_words(rounds) == said


def test_days_numbers_and_ends() -> None:
    assert day_words(date(2027, 4, 7)) == "7 April 2027"
    assert [number_words(n) for n in (0, 3, 12, 13)] == ["no", "three", "twelve", "13"]
    assert [stop("Ana B."), stop("Ben")] == ["Ana B.", "Ben."]
    assert list_titles(["Core", "Fill"]) == "“Core” and “Fill”"
