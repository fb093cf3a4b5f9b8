"""A task's content survives being kept as JSON."""

import json
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orchard.domain.effort import Effort
from orchard.domain.plan import (
    After,
    Caution,
    Hole,
    MaterialNeed,
    PlannedTask,
    SeasonWindow,
    SkillNeed,
    ToolNeed,
)
from orchard.domain.task_codec import decode_task, digest_task, encode_task

TASK = PlannedTask(
    key="COR-P1-1",
    treatment="COR",
    planned="core",
    kind="core",
    title="Bore core holes 1 to 2 in pocket P1",
    where="Pocket P1, “the old turntable”",
    zone="A",
    trees=("A1", "A2"),
    pocket="P1",
    units=2,
    unit="hole",
    effort=Effort(2.0, 4.0, 8.0),
    crew_least=2,
    crew_most=4,
    skills=(SkillNeed("auger", 1),),
    tools=(ToolNeed("hand_auger", 1),),
    materials=(MaterialNeed("compost", 12.5, 1, 1, 90),),
    cost_cents=90,
    minimum_age=14,
    heavy=True,
    kneeling=False,
    opens_ground=True,
    windows=(SeasonWindow((3, 1), (5, 31)), SeasonWindow((11, 15), (1, 10))),
    after=(After("RNG-A-1", True),),
    closes="",
    priority=3,
    value_per_unit=13,
    holes=(Hole(1, (1.25, 2.5)), Hole(2, (1.55, 2.5))),
    ground=(((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)),),
    steps=("Lay the tape.", "Bore."),
    cautions=(Caution("services", "Locate first; no marks does not mean no lines."),),
)


def test_a_task_comes_back_as_it_was_kept():
    kept = json.loads(json.dumps(encode_task(TASK)))
    assert decode_task(kept) == TASK


def test_the_digest_is_the_same_for_the_same_content_and_no_other():
    assert digest_task(encode_task(TASK)) == digest_task(encode_task(replace(TASK)))
    assert digest_task(encode_task(TASK)) != digest_task(encode_task(replace(TASK, units=3)))


def test_content_kept_by_another_version_is_refused_and_not_guessed():
    kept = encode_task(TASK)
    del kept["holes"]
    with pytest.raises(KeyError):
        decode_task(kept)


@given(
    title=st.text(), units=st.integers(0, 10**6), east=st.floats(-1e6, 1e6), north=st.floats(0, 1e6)
)
def test_any_words_and_figures_survive(title, units, east, north):
    task = replace(TASK, title=title, units=units, holes=(Hole(1, (east, north)),))
    kept = json.loads(json.dumps(encode_task(task)))
    assert decode_task(kept) == task
