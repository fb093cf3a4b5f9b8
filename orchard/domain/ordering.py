"""Sorting codes the way people count: T2 before T10.

Not for sorting people's names.
"""

import re

_PARTS = re.compile(r"[0-9]+|-|[^0-9-]+")

NaturalKey = tuple[tuple[int, int, str], ...]


def natural_key(code: str) -> NaturalKey:
    """Return a sort key in which runs of digits count as numbers and a hyphen ends a word.

    Args:
        code: A tag or code such as "T12" or "COR-P1-3".
    """
    return tuple(
        (0, 0, "") if part == "-" else (1, int(part), part) if part.isdecimal() else (2, 0, part)
        for part in _PARTS.findall(code)
    )
