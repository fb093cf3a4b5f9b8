"""Reads what decides about treatments beside the ground: a site's facts, its trees' growth."""

from statistics import median
from typing import Literal, cast

from orchard.domain.errors import GroundError
from orchard.domain.growth import TARGETS, judge_shoots, summarise_shoots
from orchard.domain.ordering import natural_key
from orchard.domain.plan import SiteFacts, TreeGrowth
from orchard.models import GrowthReading, Site


def load_site_facts(site_id: int) -> SiteFacts:
    """Return what is known of the whole site that decides about treatments."""
    row = Site.objects.values("earthworms", "worm_advice", "inoculant_wanted").get(pk=site_id)
    earthworms = cast(Literal["unknown", "native", "not native"], row["earthworms"])
    return SiteFacts(earthworms, row["worm_advice"], row["inoculant_wanted"])


def load_growth(site_id: int) -> tuple[TreeGrowth, ...]:
    """Return each tree's latest growth against its target, trees in order of tag."""
    rows = GrowthReading.objects.filter(tree__site_id=site_id).select_related("tree")
    latest: dict[str, TreeGrowth] = {}
    for row in rows.order_by("on"):
        target = TARGETS.get(row.target)
        try:
            summary = summarise_shoots(tuple(float(shoot) for shoot in row.shoots_cm))
        except GroundError:
            continue  # a girth alone says nothing of shoots
        if target is not None:
            verdict = cast(Literal["low", "on target", "high"], judge_shoots(summary, target))
            middle = median(row.shoots_cm)
            latest[row.tree.tag] = TreeGrowth(row.tree.tag, row.on, middle, verdict)
    return tuple(latest[tag] for tag in sorted(latest, key=natural_key))
