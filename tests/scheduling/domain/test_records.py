"""Records that cannot be true are refused in sentences; the others teach."""

from dataclasses import replace

import pytest

from scheduling.domain.records import (
    OfferedTask,
    RecordRefused,
    WorkEntry,
    check_record,
    to_observations,
)
from tests.orchard.domain.test_task_codec import TASK


def offered(number: int, **changes) -> OfferedTask:
    return OfferedTask(number, replace(TASK, **changes), units_open=10)


CORE = offered(1, key="COR-1", title="Bore", activity="bore.firm")
FILL = offered(
    2, key="BKF-1", title="Fill", closes="COR-1", opens_ground=False, activity="backfill"
)
BOTH = (CORE, FILL)


def entry(
    task: int, units: int, *, adults: int = 2, young: int = 0, minutes: int = 60
) -> WorkEntry:
    return WorkEntry(task, units, adults, young, minutes)


def test_what_is_whole_passes():
    check_record((entry(1, 4), entry(2, 4)), BOTH)


@pytest.mark.parametrize(
    ("entries", "said"),
    [
        ((entry(1, 4), entry(2, 3)), "4 holes opened and 3 filled. No hole stays open"),
        ((entry(1, 4),), "4 holes opened and 0 filled"),
        ((entry(1, 11), entry(2, 11)), "only 10 were open"),
        ((entry(1, 4, minutes=0), entry(2, 4)), "how many people did it, and for how many minutes"),
        ((entry(1, -1), entry(2, -1)), "no figure may be below 0"),
        ((entry(9, 1),), "not one of this session's"),
    ],
)
def test_what_cannot_be_true_is_refused(entries, said):
    with pytest.raises(RecordRefused, match=said):
        check_record(entries, BOTH)


def test_young_people_count_at_their_pace():
    assert entry(1, 4, adults=2, young=2, minutes=100).adult_min == pytest.approx(310)


def test_records_teach_only_where_work_and_time_are_known():
    lines = (entry(1, 4, minutes=40), entry(2, 0, minutes=10))
    (lesson,) = to_observations(lines, BOTH)
    assert (lesson.activity, lesson.units, lesson.adult_min) == ("bore.firm", 4, 80)
    assert lesson.ratio == pytest.approx(80 / 4 / TASK.effort.mean_min)
