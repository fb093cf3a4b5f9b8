"""Reads names as people write them: trees "T01 to T04, T07 and T09", holes "A1 to A9, C2".

The inverse of `pieces.list_tags`. Not for finding trees by where they stand.
"""

import re
from collections.abc import Iterable

from orchard.domain.errors import UnknownGround
from orchard.domain.ordering import natural_key

_PARTS = re.compile(r"\s*(?:,|;|\n|\band\b)\s*")
_RUN = re.compile(r"\s*(?:\bto\b|–|\.\.)\s*")


def read_tags(text: str, known: Iterable[str], *, what: str = "tree") -> tuple[str, ...]:
    """Return the tags a text names, each once, in the order people count.

    Args:
        text: Tags parted by commas, semicolons, lines or “and”; “T01 to T04” is a
            run of all known tags between the two.
        known: The tags there are.
        what: What has them, for the message.

    Raises:
        UnknownGround: If a tag is not known, or a run goes backwards.
    """
    ordered = sorted(set(known), key=natural_key)
    by_small = {tag.casefold(): tag for tag in ordered}
    found: list[str] = []
    for part in _PARTS.split(text.strip()):
        if not part:
            continue
        ends = [_find(end, by_small, what) for end in _RUN.split(part)]
        first, last = ordered.index(ends[0]), ordered.index(ends[-1])
        if len(ends) > 2 or last < first:
            raise UnknownGround(
                f"“{part}” is no run of tags. Write the lower tag first, as "
                f"{ordered[0]} to {ordered[-1]}."
            )
        found += ordered[first : last + 1]
    return tuple(sorted(set(found), key=natural_key))


def _find(tag: str, by_small: dict[str, str], what: str) -> str:
    known = by_small.get(tag.strip().casefold())
    if known is None:
        tags = list(by_small.values())
        some = f"{tags[0]} to {tags[-1]}" if tags else "none"
        if what != "tree":
            raise UnknownGround(
                f"There is no {what} “{tag.strip()}”. Known are {some}; read the sheet again."
            )
        raise UnknownGround(
            f"There is no tree “{tag.strip()}”. The tags of this site are {some}; correct it, or "
            "bring the tree in first."
        )
    return known
