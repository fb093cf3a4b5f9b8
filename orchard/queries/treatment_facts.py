"""Reads what decides about treatments beside the ground: a site's facts, its trees' growth."""

from collections.abc import Mapping
from statistics import median
from typing import Any, Literal, cast

from orchard.domain.errors import GroundError, PlannerError
from orchard.domain.growth import TARGETS, judge_shoots, summarise_shoots
from orchard.domain.ordering import natural_key
from orchard.domain.own_figures import check_figure
from orchard.domain.plan import OwnFigure, SiteFacts, TreeGrowth
from orchard.models import GrowthReading, Site


def load_site_facts(site_id: int) -> SiteFacts:
    """Return what is known of the whole site that decides about treatments."""
    names = ("earthworms", "worm_advice", "inoculant_wanted", "own_figures")
    row = Site.objects.values(*names).get(pk=site_id)
    earthworms = cast(Literal["unknown", "native", "not native"], row["earthworms"])
    own = read_own(row["own_figures"])
    return SiteFacts(earthworms, row["worm_advice"], row["inoculant_wanted"], own)


def load_own(site_id: int) -> tuple[OwnFigure, ...]:
    """Return the figures a site has set in place of the defaults, by key."""
    return read_own(Site.objects.values_list("own_figures", flat=True).get(pk=site_id))


def read_own(kept: Mapping[str, Mapping[str, Any]]) -> tuple[OwnFigure, ...]:
    """Return kept figures; one that is no longer known, or out of its range, is left out."""
    found = []
    for key in sorted(kept):
        figure = OwnFigure(key, float(kept[key]["value"]), str(kept[key]["reason"]))
        try:
            check_figure(figure)
        except PlannerError:
            continue
        found.append(figure)
    return tuple(found)


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
