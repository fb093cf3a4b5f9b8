"""A pocket's rows of holes cut into pieces that are bored and filled in one session.

Rows stay whole and in walking order unless one row alone is more than a
session's work. Where the holes go is `boreholes`.
"""

from collections.abc import Sequence

from orchard.domain.plan import Hole


def split_rows(rows: Sequence[Sequence[Hole]], most_holes: int) -> tuple[tuple[Hole, ...], ...]:
    """Return consecutive rows in as few pieces as fit, made as even as whole rows allow.

    Args:
        rows: Holes row by row, in walking order.
        most_holes: Most holes in one piece, 1 or more.
    """
    whole: list[tuple[Hole, ...]] = [
        tuple(row[start : start + most_holes])
        for row in rows
        for start in range(0, len(row), most_holes)
    ]
    total = sum(len(row) for row in whole)
    fewest = len(_fill(whole, most_holes))
    for limit in range(-(-total // max(fewest, 1)), most_holes):
        if max((len(row) for row in whole), default=0) > limit:
            continue
        pieces = _fill(whole, limit)
        if len(pieces) == fewest:
            return pieces
    return _fill(whole, most_holes)


def _fill(rows: Sequence[tuple[Hole, ...]], limit: int) -> tuple[tuple[Hole, ...], ...]:
    pieces: list[tuple[Hole, ...]] = []
    for row in rows:
        if pieces and len(pieces[-1]) + len(row) <= limit:
            pieces[-1] += row
        else:
            pieces.append(row)
    return tuple(pieces)
