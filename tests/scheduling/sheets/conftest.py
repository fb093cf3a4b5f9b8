"""The published roster that the sheets' tests print."""

import pytest

from scheduling.domain.published import PublishedRoster
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.parts import DayPack
from tests.scheduling.sheets import packed_day


@pytest.fixture(scope="session")
def published() -> PublishedRoster:
    return packed_day.build_published()


@pytest.fixture(scope="session")
def pack(published: PublishedRoster) -> DayPack:
    return build_day_pack(published)
