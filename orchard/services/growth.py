"""Recording how trees grew, many at once from one sheet."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from orchard.domain.errors import GroundError, UnknownGround
from orchard.domain.growth import TARGETS
from orchard.models import GrowthReading, Site, Tree


@dataclass(frozen=True, slots=True)
class GrowthEntry:
    """What was found at one tree; None or empty where nobody looked."""

    tag: str
    shoots_cm: tuple[float, ...] = ()
    girth_cm: float | None = None
    canopy_radius_m: float | None = None
    leaf: str = ""
    fruit: str = ""
    note: str = ""

    @property
    def is_empty(self) -> bool:
        """Whether nothing was written for the tree."""
        numbers = (self.girth_cm, self.canopy_radius_m)
        words = (self.leaf, self.fruit, self.note)
        return not self.shoots_cm and numbers == (None, None) and not any(words)


@transaction.atomic
def record_growth(
    *, site_id: int, on: date, target: str, entries: Iterable[GrowthEntry], by: int
) -> tuple[int, tuple[str, ...]]:
    """Keep a day's measurements; a tree written twice for a day keeps the later figures.

    Args:
        site_id: The site.
        on: The day it was measured.
        target: Which of `TARGETS` the shoots are held against; empty for none.
        entries: What was found; empty ones are passed over.
        by: The account that records it.

    Returns:
        How many trees are on record, and a sentence for each that should be looked at again.

    Raises:
        UnknownGround: If the site has no such tree.
        GroundError: If the target is none of the list.
    """
    if target and target not in TARGETS:
        raise GroundError(f"There is no target “{target}”. Choose one of the list.")
    Site.objects.select_for_update().get(pk=site_id)
    trees = {tree.tag: tree for tree in Tree.objects.filter(site_id=site_id)}
    remarks: list[str] = []
    kept = 0
    for entry in entries:
        if entry.is_empty:
            continue
        if entry.tag not in trees:
            raise UnknownGround(f"There is no tree {entry.tag}. Bring it in first.")
        remarks += _remark(trees[entry.tag], entry, on)
        GrowthReading.objects.update_or_create(
            tree=trees[entry.tag],
            on=on,
            defaults={
                "shoots_cm": list(entry.shoots_cm),
                "girth_cm": entry.girth_cm,
                "canopy_radius_m": entry.canopy_radius_m,
                "leaf": entry.leaf,
                "fruit": entry.fruit,
                "note": entry.note,
                "target": target,
                "by_id": by,
            },
        )
        kept += 1
    return kept, tuple(remarks)


def remove_growth(*, site_id: int, reading_id: int) -> bool:
    """Take a reading away that was written down wrongly; say whether it was there."""
    gone, _ = GrowthReading.objects.filter(pk=reading_id, tree__site_id=site_id).delete()
    return gone > 0


def _remark(tree: Tree, entry: GrowthEntry, on: date) -> list[str]:
    """Return what cannot well be: a stem does not grow thinner."""
    if entry.girth_cm is None:
        return []
    before = tree.growth.filter(on__lt=on, girth_cm__isnull=False).order_by("on").last()
    if before is None or before.girth_cm is None or entry.girth_cm >= before.girth_cm:
        return []
    return [
        f"{tree.tag}: a girth of {entry.girth_cm:.4g} cm is less than {before.girth_cm:.4g} cm on "
        f"{before.on:%-d %B %Y}. It is kept; measure it again at the painted mark."
    ]
