"""Reads a site's facts, the figures it sets itself, its rates, and who changed them when."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from orchard.domain.locate_rules import LOCATE_RULES
from orchard.domain.own_figures import FigureGroup, find_group, list_groups
from orchard.domain.plan import OwnFigure
from orchard.domain.rates import Rate, build_default_rates
from orchard.domain.treatment import ParameterSpec
from orchard.models import RateVersion, Site, SiteChange
from orchard.queries.rates import load_rate_table
from orchard.queries.treatment_facts import load_own


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """One change: when, who (an address, or empty for nobody known), what."""

    at: datetime
    by: str
    sentence: str


@dataclass(frozen=True, slots=True)
class FactsPage:
    """A site's facts by name, as kept, with what names the rule on locates."""

    values: dict[str, object]
    rule: str
    changes: tuple[ChangeLine, ...]


@dataclass(frozen=True, slots=True)
class FigureLine:
    """One default: the published figure, and the site's own if it has one."""

    spec: ParameterSpec
    own: OwnFigure | None

    @property
    def words(self) -> str:
        """The figure that counts, with its unit."""
        return self.spec.words(self.own.value if self.own else self.spec.default)

    @property
    def usual(self) -> str:
        """The published or invented figure, with its unit."""
        return self.spec.words(self.spec.default)

    @property
    def range_words(self) -> str:
        """What may be set."""
        if self.spec.choices:
            return " or ".join(self.spec.choices)
        return f"{self.spec.least:g} to {self.spec.most:g} {self.spec.unit}".strip()


@dataclass(frozen=True, slots=True)
class GroupLines:
    """The defaults of one group."""

    group: FigureGroup
    lines: tuple[FigureLine, ...]

    @property
    def own_count(self) -> int:
        """How many the site has set itself."""
        return sum(line.own is not None for line in self.lines)


@dataclass(frozen=True, slots=True)
class RatesPage:
    """The rates in force on a day, and the version they stand in."""

    rates: tuple[Rate, ...]
    as_of: date
    note: str
    changes: tuple[ChangeLine, ...]


def load_facts_page(site_id: int, names: Iterable[str]) -> FactsPage:
    """Return a site's facts of the given names with their history."""
    site = Site.objects.get(pk=site_id)
    rules = {rule.code: rule.jurisdiction for rule in LOCATE_RULES}
    return FactsPage(
        {name: getattr(site, name) for name in names},
        rules.get(site.jurisdiction, ""),
        load_changes(site_id, SiteChange.About.FACTS),
    )


def load_figure_groups(site_id: int) -> tuple[GroupLines, ...]:
    """Return every default with the site's own figures."""
    own = load_own(site_id)
    return tuple(_group(group, own) for group in list_groups())


def find_figure_group(site_id: int, code: str) -> GroupLines | None:
    """Return one group's defaults with the site's own figures, or None."""
    group = find_group(code)
    return _group(group, load_own(site_id)) if group else None


def load_rates_page(site_id: int, *, on: date) -> RatesPage:
    """Return the rates in force on a day, the usual ones where the site has none of its own.

    Raises:
        RateMissing: If the site has none yet.
    """
    table = load_rate_table(site_id, on=on)
    versions = RateVersion.objects.filter(site_id=site_id, as_of__lte=on).order_by("as_of", "id")
    latest = versions.last()
    changes = load_changes(site_id, SiteChange.About.RATES)
    known = {rate.activity for rate in table.rates}
    usual = (one for one in build_default_rates(on).rates if one.activity not in known)
    rates = tuple(sorted((*table.rates, *usual), key=lambda rate: rate.activity))
    return RatesPage(rates, table.as_of, latest.note if latest else "", changes)


def load_changes(site_id: int, about: str) -> tuple[ChangeLine, ...]:
    """Return what was changed, the latest first."""
    rows = SiteChange.objects.filter(site_id=site_id, about=about).select_related("by")
    return tuple(
        ChangeLine(row.at, row.by.email if row.by else "", row.sentence)
        for row in rows.order_by("-at", "-id")
    )


def _group(group: FigureGroup, own: Iterable[OwnFigure]) -> GroupLines:
    by_key = {figure.key: figure for figure in own}
    lines = tuple(FigureLine(spec, by_key.get(group.key(spec))) for spec in group.specs)
    return GroupLines(group, lines)
