"""Numbers that look like chance and are the same for the same seed, on every machine.

The multiplicative generator of Park and Miller ("Random number generators: good ones are
hard to find", 1988), with the later multiplier. Not for secrets, and not for statistics:
`chance` has its own.
"""

from collections.abc import Iterator

MULTIPLIER, MODULUS = 48_271, 2_147_483_647


def draw_numbers(seed: int) -> Iterator[float]:
    """Yield numbers from 0 to 1 without end, the same for the same seed."""
    state = seed % (MODULUS - 1) + 1
    while True:
        state = state * MULTIPLIER % MODULUS
        yield state / MODULUS
