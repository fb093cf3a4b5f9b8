"""A smallest set of reasons that cannot hold together, by dividing and by leaving one out.

Front doors: `find_smallest`, `shrink_one_by_one`. They only ask a question given
to them; what is impossible, and how that is known, is the caller's.

Source: U. Junker, "QUICKXPLAIN: Preferred explanations and relaxations for
over-constrained problems", AAAI 2004, pp. 167–172.
"""

from collections.abc import Callable
from typing import TypeVar

Item = TypeVar("Item")


def find_smallest(
    items: tuple[Item, ...], clashes: Callable[[tuple[Item, ...]], bool | None]
) -> tuple[Item, ...]:
    """Return some of the items that clash, none of which can be spared.

    Args:
        items: Items that clash all together, those to be kept out of the answer last.
        clashes: Says whether items clash. None, for not known, counts as no, so
            the answer always clashes but may then hold more than it must.

    Returns:
        The set in the order of the items.
    """

    def divide(
        background: tuple[Item, ...], added: bool, among: tuple[Item, ...]
    ) -> tuple[Item, ...]:
        if added and clashes(background):
            return ()
        if len(among) == 1:
            return among
        half = len(among) // 2
        first, second = among[:half], among[half:]
        late = divide((*background, *first), bool(first), second)
        early = divide((*background, *late), bool(late), first)
        return (*early, *late)

    return divide((), False, items) if items else ()


def shrink_one_by_one(
    items: tuple[Item, ...], clashes: Callable[[tuple[Item, ...]], bool | None]
) -> tuple[tuple[Item, ...], bool]:
    """Return a set none of which can be spared, and whether that was asked of each.

    Args:
        items: Items that clash all together; the last are left out first.
        clashes: Says whether items clash, None when it is not known.
    """
    is_smallest = True
    for position in range(len(items) - 1, -1, -1):
        rest = items[:position] + items[position + 1 :]
        verdict = clashes(rest)
        if verdict:
            items = rest
        elif verdict is None:
            is_smallest = False
    return items, is_smallest
