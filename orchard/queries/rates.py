"""Reads the rates in force on a day."""

from datetime import date

from django.db.models import QuerySet

from orchard.domain.effort import Effort
from orchard.domain.errors import RateMissing
from orchard.domain.rates import Rate, RateTable
from orchard.models import RateVersion


def load_rate_table(site_id: int, *, on: date) -> RateTable:
    """Return the newest rate version of the site that is in force on the day.

    Raises:
        RateMissing: If the site has no rates yet.
    """
    return _newest(RateVersion.objects.filter(site_id=site_id), on)


def load_given_rates(site_id: int, *, on: date) -> RateTable:
    """Return the newest version in force on the day that was given and not learned.

    Raises:
        RateMissing: If the site has no rates yet.
    """
    return _newest(RateVersion.objects.filter(site_id=site_id, learned=False), on)


def _newest(versions: QuerySet[RateVersion], on: date) -> RateTable:
    version = versions.filter(as_of__lte=on).order_by("as_of", "id").last()
    if version is None:
        raise RateMissing(f"The site has no rates in force on {on}. Load its rates first.")
    return RateTable(
        as_of=version.as_of,
        rates=tuple(
            Rate(
                activity=rate.activity,
                unit=rate.unit,
                effort=Effort(rate.low_min, rate.likely_min, rate.high_min),
                basis=rate.basis,
            )
            for rate in version.rates.order_by("activity")
        ),
    )
