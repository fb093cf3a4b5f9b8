"""Each kind of condition through the whole engine: possible when, impossible when.

In each row the day, the duty that somebody has (a lock) and the condition are the same
but for one fact of the world; with it a roster exists, without it none does, and the
reason given names the condition. `test_translate` does the same cell by cell.
"""

from dataclasses import dataclass, field
from typing import Any, get_args

import pytest

from scheduling.domain.condition import (
    Apart,
    AtLeast,
    AtMost,
    Balance,
    CloseOut,
    Condition,
    Forbid,
    InOrder,
    MinutesAtMost,
    Notice,
    OnlyWith,
    Per,
    Section,
    Supervised,
    ToolsAtMost,
)
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import SolveStatus
from scheduling.domain.rule_set import Combining
from tests.scheduling.domain.planner.days import because, day, person, task

LIMITS = Limits(seconds=20, seed=1, workers=1)
SAID = "This is the condition that cannot be met."
WHY = because(SAID)
HERE = because("Another condition.")
ABSENT = (False, False)


@dataclass(frozen=True)
class Row:
    """A day with a duty: who must be where; `adults` and the like are facts of the people."""

    condition: Any
    duty: tuple = ((1, 0, 1),)
    people: dict = field(default_factory=dict)
    tasks: dict = field(default_factory=dict)
    further: tuple = ()

    def build(self):
        people = [person(n, **self.people.get(n, {})) for n in (1, 2, 3)]
        tasks = [task(n, zone="A", **self.tasks.get(n, {})) for n in (1, 2)]
        return day(people, tasks, locks=self.duty), (*self.further, self.condition)


def supervised(combining, per=Per.CREW, **facts):
    sections = facts.pop("sections", (Section((1, 2), 2),))
    return Supervised(WHY, (3,), sections, combining, facts.pop("plus", 0), 0, per, **facts)


DONE = AtLeast(HERE, 1, (2,), (1,), Per.PERSON, (0,), always=True)
NOBODY = AtMost(HERE, 0, None, (1,), Per.CREW, (0,))
ROWS = {
    # kind: (possible when, impossible when)
    "forbid": (Row(Forbid(WHY, (2,), (1,))), Row(Forbid(WHY, (1,), (1,)))),
    "forbid, the round": (Row(Forbid(WHY, None, (1,), (1,))), Row(Forbid(WHY, None, (1,), (0,)))),
    "at least, of the crew": (
        Row(AtLeast(WHY, 3, None, (1,), Per.CREW)),
        Row(AtLeast(WHY, 3, None, (1,), Per.CREW), people={2: {"present": ABSENT}}),
    ),
    "at least, a lead": (
        Row(AtLeast(WHY, 1, (2, 3), None, Per.CREW)),
        Row(AtLeast(WHY, 1, (2,), None, Per.CREW), people={2: {"present": ABSENT}}),
    ),
    "at least, whether anybody works or not": (
        Row(AtLeast(WHY, 2, (2, 3), (2,), Per.ROUND, always=True)),
        Row(AtLeast(WHY, 3, None, (2,), Per.ROUND, always=True)),
    ),
    "at most, in a crew": (
        Row(AtMost(WHY, 2, None, (1,), Per.CREW), duty=((1, 0, 1), (2, 0, 1))),
        Row(AtMost(WHY, 1, None, (1,), Per.CREW), duty=((1, 0, 1), (2, 0, 1))),
    ),
    "at most, rest": (
        Row(AtMost(WHY, 2, None, None, Per.PERSON), duty=((1, 0, 1), (1, 1, 2))),
        Row(AtMost(WHY, 1, None, None, Per.PERSON, (0, 1)), duty=((1, 0, 1), (1, 1, 2))),
    ),
    "balance": (
        Row(Balance(WHY, ((2, 1), (3, 1)), ((1, 2),), Per.CREW)),
        Row(Balance(WHY, ((2, 1), (3, 1)), ((1, 2),), Per.CREW), people={3: {"present": ABSENT}}),
    ),
    "supervised, sum": (
        Row(supervised(Combining.SUM), duty=((1, 0, 1), (2, 0, 1))),
        Row(
            supervised(Combining.SUM, sections=(Section((1, 2), 1),)),
            duty=((1, 0, 1), (2, 0, 1)),
        ),
    ),
    "supervised, the youngest governs": (
        Row(
            supervised(Combining.YOUNGEST, sections=(Section((1,), 2), Section((2,), 9))),
            duty=((1, 0, 1), (2, 0, 1)),
        ),
        Row(
            supervised(Combining.YOUNGEST, sections=(Section((1,), 1), Section((2,), 9))),
            duty=((1, 0, 1), (2, 0, 1)),
        ),
    ),
    "supervised, each section": (
        Row(supervised(Combining.SECTIONS), duty=((1, 0, 1), (2, 0, 1))),
        Row(
            supervised(Combining.SECTIONS, sections=(Section((1,), 9), Section((2,), 9))),
            duty=((1, 0, 1), (2, 0, 1)),
        ),
    ),
    "supervised, by the round": (
        Row(supervised(Combining.SUM, Per.ROUND), duty=((1, 0, 1), (3, 0, 2))),
        Row(supervised(Combining.SUM, Per.ROUND, not_at=(2,)), duty=((1, 0, 1), (3, 0, 2))),
    ),
    "only with, the guardian": (
        Row(OnlyWith(WHY, (1,), ((2, 1),), 1, Per.CREW)),
        Row(OnlyWith(WHY, (1,), ((2, 1),), 1, Per.CREW), duty=((1, 0, 1), (2, 0, 2))),
    ),
    "only with, in the zone": (
        Row(OnlyWith(WHY, (1,), ((2, 1),), 1, Per.ZONE), duty=((1, 0, 1), (2, 0, 2))),
        Row(OnlyWith(WHY, (1,), ((2, 1),), 1, Per.ZONE), people={2: {"present": (False, True)}}),
    ),
    "apart": (
        Row(Apart(WHY, (1,), (2,), Per.ROUND), duty=((1, 0, 1), (2, 1, 2))),
        Row(Apart(WHY, (1,), (2,), Per.ROUND), duty=((1, 0, 1), (2, 0, 2))),
    ),
    "minutes": (
        Row(MinutesAtMost(WHY, (1,), ((1, 15), (2, 15)), 30), duty=((1, 0, 1), (1, 1, 2))),
        Row(MinutesAtMost(WHY, (1,), ((1, 15), (2, 15)), 29), duty=((1, 0, 1), (1, 1, 2))),
    ),
    "tools": (
        Row(ToolsAtMost(WHY, "fork", 3, ((1, 1), (2, 2))), duty=((1, 0, 1), (2, 0, 2))),
        Row(ToolsAtMost(WHY, "fork", 2, ((1, 1), (2, 2))), duty=((1, 0, 1), (2, 0, 2))),
    ),
    "in order": (
        Row(InOrder(WHY, 1, 1, 2), duty=((1, 1, 2),), further=(DONE,)),
        Row(InOrder(WHY, 1, 1, 2), duty=((1, 1, 2),), further=(NOBODY,)),
    ),
}
# What a close-out and a notice ask for leaves an empty roster possible whatever the day is.
NEVER_IMPOSSIBLE = (CloseOut, Notice)


@pytest.mark.parametrize("name", sorted(ROWS))
def test_possible_when_the_world_allows_it_and_impossible_when_not(name):
    allowed, refused = ROWS[name]
    assert type(allowed.condition) is type(refused.condition)
    result = solve_roster(*allowed.build(), LIMITS)
    assert result.status is SolveStatus.BEST
    assert set(allowed.duty) <= {(a.person, a.round, a.task) for a in result.roster.assignments}
    result = solve_roster(*refused.build(), LIMITS)
    assert result.status is SolveStatus.IMPOSSIBLE
    assert result.roster is None
    assert any(SAID in reason for reason in result.conflicts)


@pytest.mark.parametrize(("rounds", "done"), [(2, 2), (1, 0)])
def test_a_hole_is_bored_only_where_a_round_is_left_to_fill_it(rounds, done):
    people = [person(n, rounds=rounds) for n in (1, 2)]
    tasks = [task(1, required=True), task(2)]
    result = solve_roster(day(people, tasks, rounds=rounds), (CloseOut(WHY, 1, 2),), LIMITS)
    assert result.status is SolveStatus.BEST
    by_task = {1: 0, 2: 0}
    for part in result.roster.units:
        by_task[part.task] += part.units
    assert by_task == {1: done, 2: done}


def test_a_notice_forbids_nothing():
    problem, _ = Row(Notice(WHY)).build()
    assert solve_roster(problem, (Notice(WHY, required=1, found=0),), LIMITS).value == (
        solve_roster(problem, (), LIMITS).value
    )


def test_every_kind_there_is_has_its_row():
    shown = {type(row.condition) for pair in ROWS.values() for row in pair}
    assert shown | set(NEVER_IMPOSSIBLE) == set(get_args(Condition))
