"""Sorting codes the way people count: T2 before T10.

Not for sorting people's names.
"""

import re

_DIGITS = re.compile(r"(\d+)")

NaturalKey = tuple[tuple[int, int, str], ...]


def natural_key(code: str) -> NaturalKey:
    """Return a sort key in which runs of digits count as numbers.

    Args:
        code: A tag or code such as "T12" or "COR-P1-3".
    """
    return tuple(
        (0, int(part), part) if part.isdigit() and part.isascii() else (1, 0, part)
        for part in _DIGITS.split(code)
        if part
    )
