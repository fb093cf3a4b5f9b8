"""The figures a site's rule book uses on one day: the strictest of the sets it adopted.

Rules read every number from here, and ask it where the number is from. Front
doors: `build_policy`, `build_default_policy`. Nothing in this module judges
anything; the sets themselves are in `rule_sets`.
"""

from dataclasses import dataclass
from typing import Any

from orchard.domain.errors import RosterError
from scheduling.domain.rule_set import (
    CheckValidity,
    Company,
    ExposureLimits,
    Facilities,
    HeatPlan,
    LoadCaps,
    RatioBand,
    RuleSet,
    Stretches,
    SupervisionTable,
    ToolAges,
    WeatherLimits,
)
from scheduling.domain.rule_sets import DEFAULT_ADOPTION, get_rule_set
from scheduling.domain.strictest import Origin, merge_part

__all__ = (
    "Origin",
    "Policy",
    "RatioBand",
    "SupervisionTable",
    "build_default_policy",
    "build_policy",
)

PARTS = (
    "company", "tool_ages", "loads", "exposure", "stretches", "check_validity", "heat",
    "weather", "facilities",
)  # fmt: skip
IF_NOT_SAID = "Proposed; common practice, no source"


@dataclass(frozen=True, slots=True)
class Policy:
    """All figures of one site's rule book on one day.

    `supervision` is the first adopted table, `further_tables` the others; each
    of `tables` applies by itself. A part that is None was adopted from no set,
    and what it would ask for is not asked. `adopted` names the sets as
    "NSPCC-2023 version 1".
    """

    supervision: SupervisionTable
    guardian_below_age: int = 12
    smallest_crew_with_young: int = 3
    smallest_class_part: int = 3
    adults_in_sight: int = 2
    heavy_rounds_in_a_row: int = 2
    kneeling_rounds_if_limited: int = 2
    people_per_first_aider: int = 25
    uncommitted_leads: int = 0
    second_adult_unrelated: bool = False
    first_aider_counts: bool = True
    watched_closely_per_adult: int = 0  # 0: no figure
    consent_months: int = 0  # 0: no figure
    further_tables: tuple[SupervisionTable, ...] = ()
    tool_ages: ToolAges | None = None
    loads: LoadCaps | None = None
    exposure: ExposureLimits | None = None
    stretches: Stretches | None = None
    check_validity: CheckValidity | None = None
    heat: HeatPlan | None = None
    weather: WeatherLimits | None = None
    facilities: Facilities | None = None
    origins: tuple[Origin, ...] = ()
    adopted: tuple[str, ...] = ()

    @property
    def tables(self) -> tuple[SupervisionTable, ...]:
        """Every adopted table of ratios; each asks by itself."""
        return (self.supervision, *self.further_tables)

    def origins_of(self, figure: str) -> tuple[Origin, ...]:
        """Return the sets that gave a figure, named as "exposure.plan_points"."""
        return tuple(origin for origin in self.origins if origin.figure == figure)

    def cite(self, figure: str) -> str:
        """Return what stands behind a figure, as a reason names it.

        Args:
            figure: Part and field: "exposure.plan_points", "company.adults_in_sight".

        Returns:
            The set's code and the source; "Proposed; common practice, no
            source" for a figure no set gave.
        """
        found = [f"{origin.set_code}: {origin.source}" for origin in self.origins_of(figure)]
        return "; ".join(found) or IF_NOT_SAID


def build_policy(sets: tuple[RuleSet, ...], school_sets: tuple[RuleSet, ...] = ()) -> Policy:
    """Return the policy of the adopted sets: the strictest of every figure.

    Args:
        sets: What the site adopted, the leading set first.
        school_sets: What schools that come declared on top.

    Returns:
        The policy, with the set that each figure came from. Every set's
        supervision table applies by itself.

    Raises:
        RosterError: If no set holds a supervision table.
    """
    every = (*sets, *school_sets)
    tables = tuple(rules.supervision for rules in every if rules.supervision is not None)
    if not tables:
        named = ", ".join(rules.code for rules in every) or "none"
        raise RosterError(
            f"The adopted rule sets ({named}) hold no supervision table; adopt one that does."
        )
    merged = {name: merge_part(name, every) for name in PARTS}
    parts = {name: part for name, (part, _) in merged.items()}
    company: Company | None = parts.pop("company")
    stretches: Stretches | None = parts["stretches"]
    flat: dict[str, Any] = {}
    if company is not None:
        flat = {
            name: getattr(company, name)
            for name in Company.__dataclass_fields__
            if name != "sources"
        }
    if stretches is not None:
        flat["heavy_rounds_in_a_row"] = stretches.heavy_rounds_in_a_row
        flat["kneeling_rounds_if_limited"] = stretches.kneeling_rounds_if_limited
    return Policy(
        supervision=tables[0],
        further_tables=tables[1:],
        origins=tuple(origin for _, found in merged.values() for origin in found),
        adopted=tuple(f"{rules.code} version {rules.version}" for rules in every),
        **flat,
        **parts,
    )


def build_default_policy() -> Policy:
    """Return the figures shipped with the planner, to be reviewed by each site.

    Source:
        The sets of `rule_sets.DEFAULT_ADOPTION`: NSPCC Learning, September
        2023, and the site's own figures, which are proposed.

    Assumes:
        Guidance, not law: the site's own risk assessment and local rules may
        ask for more, and then they prevail.
    """
    return build_policy(tuple(get_rule_set(code) for code in DEFAULT_ADOPTION))
