"""Reads what is known of each area's ground, and which treatment suits it.

Not for the readings themselves: those are `readings`.
"""

from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Literal, cast

from orchard.domain.drawing_words import list_words
from orchard.domain.errors import GroundError
from orchard.domain.growth import TARGETS, judge_shoots, summarise_shoots
from orchard.domain.ordering import natural_key
from orchard.domain.place import Area
from orchard.domain.plan import SiteFacts, TreeGrowth
from orchard.domain.soil import find_hardness
from orchard.domain.treatment import Fitness, GroundFacts, Target, Treatment
from orchard.domain.treatments import TREATMENTS
from orchard.models import GrowthReading, Site
from orchard.queries.plans import load_hardness, load_place, load_pockets


@dataclass(frozen=True, slots=True)
class AreaFit:
    """Areas that a treatment suits alike, named in words."""

    areas: str
    fitness: Fitness


@dataclass(frozen=True, slots=True)
class TreatmentFit:
    """A treatment with its fit to every area that holds ground for it."""

    treatment: Treatment
    areas: tuple[AreaFit, ...]


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


def load_treatment_fits(
    site_id: int, *, on: date, codes: tuple[str, ...] = ()
) -> tuple[TreatmentFit, ...]:
    """Return treatments with their fit to the site's areas, all or those of some codes."""
    facts = load_ground_facts(site_id, on=on)
    names = {area.code: area.name for area in load_place(site_id).areas}
    with_pockets = {pocket.area for pocket in load_pockets(site_id)}
    found = []
    for treatment in TREATMENTS:
        if codes and treatment.code not in codes:
            continue
        for_pockets = treatment.target is Target.POCKETS
        alike: dict[Fitness, list[str]] = {}
        for fact in facts:
            if fact.area in with_pockets if for_pockets else fact.trees:
                fitness = treatment.applies_when(fact)
                alike.setdefault(fitness, []).append(f"{fact.area} {names[fact.area]}")
        fits = tuple(AreaFit(list_words(areas), fitness) for fitness, areas in alike.items())
        found.append(TreatmentFit(treatment, fits))
    return tuple(found)


def load_ground_facts(site_id: int, *, on: date) -> tuple[GroundFacts, ...]:
    """Return what is known of each area of the site, areas in order of code."""
    place = load_place(site_id)
    hardness = load_hardness(site_id)
    known = {verdict.area for verdict in hardness}
    growth = load_growth(site_id)
    site = load_site_facts(site_id)

    def facts(area: Area) -> GroundFacts:
        trees = tuple(tree for tree in place.trees if tree.area == area.code)
        tags = {tree.tag for tree in trees}
        return GroundFacts(
            area=area.code,
            hardness=find_hardness(hardness, area.code)[0] if area.code in known else None,
            trees=trees,
            growth=tuple(one for one in growth if one.tag in tags),
            site=site,
            on=on,
        )

    return tuple(facts(area) for area in sorted(place.areas, key=lambda a: natural_key(a.code)))
