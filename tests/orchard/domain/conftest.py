"""Rates and a store every breakdown can use; the ground is built in small_orchard.py."""

from datetime import date

import pytest

from orchard.domain.plan import Store
from orchard.domain.rates import RateTable, build_default_rates
from tests.orchard.domain.small_orchard import build_store


@pytest.fixture
def rates() -> RateTable:
    return build_default_rates(date(2027, 3, 1))


@pytest.fixture
def store() -> Store:
    return build_store()
