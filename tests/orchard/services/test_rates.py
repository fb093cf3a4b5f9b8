"""What records teach becomes the rates in force; a record taken back teaches nothing any more."""

import pytest

from orchard.domain.rate_learning import Observation
from orchard.models import RateVersion, Site
from orchard.queries.rates import load_given_rates, load_rate_table
from orchard.services.rates import update_rates
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

ON = NOW.date()


def twice_as_slow(site_id: int) -> Observation:
    rate = next(r for r in load_given_rates(site_id, on=ON).rates if r.effort.low_min > 0)
    mean = rate.effort.mean_min
    return Observation(rate.activity, 10, 2 * 10 * mean, mean)


def test_the_same_records_again_write_no_version() -> None:
    site_id = Site.objects.get(slug="traverser-yard").pk
    observations = (twice_as_slow(site_id),)

    first = update_rates(site_id=site_id, observations=observations, as_of=ON)
    again = update_rates(site_id=site_id, observations=observations, as_of=ON)

    assert first is not None
    assert again == first
    assert RateVersion.objects.filter(site_id=site_id, learned=True).count() == 1
    assert load_rate_table(site_id, on=ON).rates == first.rates


def test_records_taken_back_put_the_given_rates_in_force_again() -> None:
    site_id = Site.objects.get(slug="traverser-yard").pk
    given = load_given_rates(site_id, on=ON).rates
    update_rates(site_id=site_id, observations=(twice_as_slow(site_id),), as_of=ON)
    assert load_rate_table(site_id, on=ON).rates != given

    learned = update_rates(site_id=site_id, observations=(), as_of=ON)

    assert learned is None
    assert load_rate_table(site_id, on=ON).rates == given


def test_nothing_recorded_writes_no_version() -> None:
    site_id = Site.objects.get(slug="traverser-yard").pk

    assert update_rates(site_id=site_id, observations=(), as_of=ON) is None
    assert not RateVersion.objects.filter(learned=True).exists()
