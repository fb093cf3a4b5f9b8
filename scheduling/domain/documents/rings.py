"""Work that closes itself or waits for itself, named where the document says so."""

from typing import NoReturn

from scheduling.domain.documents.place import Place

SHOWN = 6


def refuse_unknown_or_ring(
    place: Place, start: str, closes: dict[str, str | None], what: str
) -> None:
    """Raise a fault where what something closes is not there or leads back to itself."""
    first = closes[start]
    if first is not None and first not in closes:
        place.refuse(f"“{first}” is not among the {what}s; add it or write null.")
    seen: set[str] = set()
    here = first
    while here is not None and here not in seen:
        if here == start:
            way = "itself" if first == start else "itself by way of others"
            place.refuse(f"{what} “{start}” closes {way}; name the {what} that opens its holes.")
        seen.add(here)
        here = closes.get(here)


def refuse_order_ring(places: dict[str, Place], waits: dict[str, tuple[str, ...]]) -> None:
    """Raise a fault where an item waits for one that is not there, or for itself.

    Args:
        places: For each item, where its list of predecessors stands.
        waits: For each item, its predecessors in the order of that list.
    """
    for name, before in waits.items():
        for index, one in enumerate(before):
            if one not in waits:
                places[name].entries()[index].refuse(
                    f"“{one}” is not among the items; add it or leave it out."
                )
    stuck = _find_stuck(waits)
    if stuck:
        _refuse_ring(places, stuck)


def _find_stuck(waits: dict[str, tuple[str, ...]]) -> dict[str, set[str]]:
    """Return the items that can never begin, with what each of them still waits for.

    Items that wait for nothing are taken away until there is none; what stays
    holds a ring.
    """
    left = {name: set(before) for name, before in waits.items()}
    followers: dict[str, list[str]] = {name: [] for name in waits}
    for name, before in left.items():
        for one in before:
            followers[one].append(name)
    ready = [name for name, before in left.items() if not before]
    while ready:
        done = ready.pop()
        for follower in followers[done]:
            left[follower].discard(done)
            if not left[follower]:
                ready.append(follower)
    return {name: before for name, before in left.items() if before}


def _refuse_ring(places: dict[str, Place], stuck: dict[str, set[str]]) -> NoReturn:
    walk: list[str] = []
    here = next(iter(stuck))
    while here not in walk:
        walk.append(here)
        here = min(one for one in stuck[here] if one in stuck)
    ring = walk[walk.index(here) :]
    shown = [*ring[:SHOWN], *(["…"] if len(ring) > SHOWN else []), here]
    places[here].refuse(
        f"items wait for each other in a ring: {' after '.join(shown)}; take one of these out."
    )
