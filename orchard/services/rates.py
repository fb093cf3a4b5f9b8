"""Keeps what records teach as new versions of a site's rates; none is ever edited."""

from collections.abc import Iterable
from datetime import date

from django.db import transaction

from orchard.domain.rate_learning import Observation, learn_effort
from orchard.domain.rates import Rate, RateTable
from orchard.models import Rate as RateRow
from orchard.models import RateVersion, Site
from orchard.queries.rates import load_given_rates, load_rate_table


def update_rates(
    *, site_id: int, observations: Iterable[Observation], as_of: date
) -> RateTable | None:
    """Learn the site's rates anew from all its records and keep them as a version.

    Learning always starts from the rates that were given, with every record
    there is, so that a record corrected or written twice never counts twice. When
    what is learned is in force already, no version is written; when a correction
    leaves nothing to learn from, the given rates are put in force again.

    Args:
        site_id: The site.
        observations: Every record of the site.
        as_of: The day from which the learned rates count.

    Returns:
        The learned table, or None when no record says anything of a known rate.

    Raises:
        RateMissing: If the site has no rates to start from.
        RecordUnusable: If a record holds nothing done or no time.
    """
    given = load_given_rates(site_id, on=as_of)
    seen: dict[str, list[float]] = {}
    for observation in observations:
        seen.setdefault(observation.activity, []).append(observation.ratio)
    learned = tuple(_learn(rate, seen.get(rate.activity, [])) for rate in given.rates)
    table = RateTable(as_of, learned)
    count = sum(len(ratios) for ratios in seen.values())
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site_id)
        if learned != load_rate_table(site_id, on=as_of).rates:
            note = f"learned from {count} records"
            keep_rates(site_id=site_id, table=table, note=note, learned=True)
    return None if learned == given.rates else table


def keep_rates(*, site_id: int, table: RateTable, note: str, learned: bool = False) -> None:
    """Keep a table as a new version of the site's rates, in the caller's transaction."""
    version = RateVersion.objects.create(
        site_id=site_id, as_of=table.as_of, note=note, learned=learned
    )
    RateRow.objects.bulk_create(
        RateRow(
            version=version,
            activity=rate.activity,
            unit=rate.unit,
            low_min=rate.effort.low_min,
            likely_min=rate.effort.likely_min,
            high_min=rate.effort.high_min,
            basis=rate.basis,
        )
        for rate in table.rates
    )


def _learn(rate: Rate, ratios: list[float]) -> Rate:
    if not ratios or rate.effort.low_min <= 0:
        return rate
    observed = tuple(ratio * rate.effort.mean_min for ratio in ratios)
    crews = "1 crew" if len(ratios) == 1 else f"{len(ratios)} crews"
    return Rate(
        rate.activity,
        rate.unit,
        learn_effort(rate.effort, observed),
        f"learned from {crews} here; began at {rate.effort.likely_min:g} min",
    )
