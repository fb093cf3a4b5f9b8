"""Fertilise: a weighed dose of organic or slow-release fertiliser, where growth says so."""

from orchard.domain import geometry
from orchard.domain.citing import Citation, Status
from orchard.domain.errors import PlanError
from orchard.domain.materials import build_need, get_material
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import Work, build_ring_pieces, build_task, list_tags
from orchard.domain.place import Tree
from orchard.domain.plan import Caution, PlannedTask, PlannedTreatment, SeasonWindow, ToolNeed
from orchard.domain.treatment import (
    BreakdownContext,
    Fit,
    Fitness,
    GroundFacts,
    ParameterSpec,
    Standing,
    Target,
    read_parameters,
)

SPRING = (SeasonWindow((3, 1), (6, 30)),)
GROWING = (SeasonWindow((3, 1), (11, 15)),)
"""From 1 July to dormancy only where growth is on record as below target. Northern hemisphere."""

MATERIALS = ("organic_fertiliser", "slow_release_fertiliser")


class Fertilise:
    """Fertiliser on tree rings, counted in square metres."""

    code = "FER"
    kind = "feed"
    name = "Fertilise"
    target = Target.TREES
    parameters: tuple[ParameterSpec, ...] = (
        ParameterSpec(
            "nitrogen_g_per_m2",
            "nitrogen on a square metre",
            "g/m²",
            5,
            1,
            15,
            "about 1 to 3 lb of nitrogen on 1,000 ft²",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "nitrogen_percent",
            "nitrogen in the product",
            "%",
            6,
            1,
            40,
            "as printed on the bag",
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "slow_release",
            "product",
            "",
            0,
            0,
            1,
            "our choice",
            ("organic", "slow-release"),
            status=Status.COMMON_PRACTICE,
        ),
        ParameterSpec(
            "after_june",
            "time of year",
            "",
            0,
            0,
            1,
            "midsummer to leaf fall only with growth on record below target",
            ("March to June", "also July to dormancy"),
            status=Status.VERIFIED,
        ),
        ParameterSpec(
            "clearance_mm",
            "distance kept from the bark",
            "mm",
            300,
            76,
            600,
            "as for compost or wider",
            status=Status.COMMON_PRACTICE,
        ),
    )
    standing = Standing.CONTESTED
    evidence = (
        "Fertiliser does not make up for grass at the stem or for compacted ground; weeding and "
        "mulch come first. It helps where shoots grow less than their target for want of "
        "nitrogen. Late feeding caused winter injury in some reports, after full dormancy none."
    )
    source = (
        "Utah State University Extension (nitrogen does not make up for grass); home fruit guide "
        "on when not to fertilise; press 1978 quoting specialists on autumn feeding"
    )
    soil_condition = "moist; not in drought, not before growth shows on a newly planted tree"

    def applies_when(self, facts: GroundFacts) -> Fitness:
        """Return whether feeding suits: refused on good growth, and late without a record."""
        tags = {tree.tag for tree in facts.trees}
        records = [record for record in facts.growth if record.tag in tags]
        low = {record.tag for record in records if record.verdict == "low"}
        citation = Citation(self.source, Status.VERIFIED)
        if records and not low:
            return Fitness(
                Fit.REFUSED,
                "Growth on record is on target or above it; nitrogen would only bring soft shoots.",
                citation,
            )
        late = facts.on is not None and any(not window.holds(facts.on) for window in SPRING)
        if late and low != tags:
            return Fitness(
                Fit.REFUSED,
                "Between 1 July and dormancy feed only trees whose growth is on record as below "
                "target.",
                citation,
            )
        pears = [tree.tag for tree in facts.trees if _is_pear(tree)]
        if pears:
            return Fitness(
                Fit.WARNED,
                f"{list_tags(sorted(pears))}: go easy on nitrogen for pears, it invites fire "
                "blight.",
                Citation("press quoting extension", Status.SECOND_HAND),
            )
        if not records:
            return Fitness(
                Fit.WARNED, "No growth is on record; measure shoots before feeding.", citation
            )
        return Fitness(Fit.SUITS, "Shoots grew less than their target.", citation)

    def build_tasks(
        self, line: PlannedTreatment, context: BreakdownContext
    ) -> tuple[PlannedTask, ...]:
        """Return the feeding of the line's rings.

        Raises:
            PlanError: If a tree's growth is on record as on target or above it, or
                July to dormancy is asked for and it is not on record as below.
        """
        values = read_parameters(self, line)
        late = values["after_june"] == 1
        if late:
            _check_growth(line, context)
        _refuse_good_growth(line, context)
        effort = context.rates.find_rate("feed").effort
        material = MATERIALS[int(values["slow_release"])]
        grams = values["nitrogen_g_per_m2"] / values["nitrogen_percent"] * 100
        density = get_material(context.store, material).kg_per_m3
        if not density > 0:
            raise PlanError(
                f"The store's {material} weighs {density:g} kg/m³; enter its loose density."
            )
        pieces = build_ring_pieces(
            self.code,
            line,
            context,
            clearance_m=values["clearance_mm"] / 1000,
            minutes_per_m2=effort.mean_min,
        )
        tasks = []
        for piece in pieces:
            trees = [geometry.get_tree(context.plan.place, tag) for tag in piece.trees]
            pears = tuple(tree.tag for tree in trees if _is_pear(tree))
            litres = grams / density * piece.area_m2
            tasks.append(
                build_task(
                    _work(grams, values["clearance_mm"], late=late, pears=pears),
                    piece,
                    line,
                    title=f"Fertilise {list_tags(piece.trees)}",
                    effort=effort,
                    materials=(build_need(context.store, material, litres),),
                )
            )
        return tuple(tasks)


def _is_pear(tree: Tree) -> bool:
    words = tree.species.lower().split()
    return "pear" in words or "pyrus" in words


def _refuse_good_growth(line: PlannedTreatment, context: BreakdownContext) -> None:
    fed = {record.tag: record for record in context.plan.growth if record.tag in line.trees}
    good = sorted((tag for tag in fed if fed[tag].verdict != "low"), key=natural_key)
    if good:
        raise PlanError(
            f"Line {line.key} feeds {list_tags(good)}, whose growth on record is on target or "
            "above it; nitrogen would only bring soft shoots. Take them out of the line."
        )


def _check_growth(line: PlannedTreatment, context: BreakdownContext) -> None:
    low = {record.tag for record in context.plan.growth if record.verdict == "low"}
    others = sorted(set(line.trees) - low)
    if others:
        raise PlanError(
            f"Line {line.key} feeds after June, but growth below target is not on record for "
            f"{', '.join(others)}. Measure their shoots first, or feed from March to June."
        )


def _work(grams: float, clearance_mm: float, *, late: bool, pears: tuple[str, ...]) -> Work:
    blight = (
        (
            Caution(
                "stop", f"{list_tags(pears)}: pears, half the dose; nitrogen brings fire blight."
            ),
        )
        if pears
        else ()
    )
    return Work(
        kind="feed",
        unit="m²",
        crew_least=2,
        crew_most=4,
        skills=(),
        tools=(ToolNeed("bucket", 2), ToolNeed("gloves", 4), ToolNeed("scale", 1)),
        minimum_age=14,
        heavy=False,
        kneeling=False,
        opens_ground=False,
        windows=GROWING if late else SPRING,
        steps=(
            "Read the bag: the nitrogen printed must be that of the plan, or call the lead.",
            f"Weigh out {grams:.0f} g for each square metre of the ring, tree by tree.",
            f"Scatter it evenly from {clearance_mm:g} mm off the bark to the canopy's edge.",
            "Rake mulch aside first and back over it afterwards.",
            "Water it in if no rain is forecast; sweep paths so that none washes away.",
        ),
        cautions=(
            *blight,
            Caution("stop", "Never on a tree newly planted, in drought, or whose growth is good."),
            Caution("hands", "Wear gloves; wash before eating."),
            Caution("dust", "Pour low and slowly; stand upwind."),
        ),
    )
