"""How far a search is, in words; and a mark by which a changed problem is known."""

from dataclasses import replace

import pytest

from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.planner.season import solve_season
from scheduling.domain.search_progress import (
    STAGE_WORDS,
    StageSeen,
    digest_problem,
    note_stage,
)
from scheduling.domain.season import PlannedUnits
from tests.scheduling.domain.planner.days import day, person, task
from tests.scheduling.domain.planner.seasons import item, season


def small_day():
    return day([person(1), person(2)], [task(1)])


def stage(value: int | None, bound: int | None, name: str = "comfort") -> StageSeen:
    return StageSeen(name, value, bound, 1.0)


@pytest.mark.parametrize(
    ("value", "bound", "words"),
    [
        (None, None, "nothing found yet"),
        (12, None, "how good that is cannot be said yet"),
        (40, 40, "proven: nothing better is possible"),
        (0, 0, "proven: nothing better is possible"),
        (75, 100, "at most 25.0 % below the best possible"),
        (99_999, 100_000, "at most 0.1 % below the best possible"),  # never shown as none
        (-8, -3, "at most 5 below the best possible"),  # a share of a bad mark says nothing
        (-8, 0, "at most 8 below the best possible"),
        (120, 40, "at most 80 above the least possible"),
        (3, 0, "at most 3 above the least possible"),
    ],
)
def test_how_good_the_best_so_far_is(value: int | None, bound: int | None, words: str) -> None:
    assert stage(value, bound).worth == words


def test_the_gap_is_a_share_of_the_bound() -> None:
    assert stage(75, 100).gap_percent == 25
    assert stage(120, 40).gap_percent is None
    assert stage(-8, 0).gap_percent is None


def test_a_stage_nobody_named_is_called_by_its_own_name() -> None:
    assert stage(1, 2, "weather").title == "Weather"
    assert stage(1, 2, "comfort").title != "Comfort"


def test_what_is_heard_of_a_stage_replaces_what_was_known_of_it() -> None:
    heard: tuple[StageSeen, ...] = ()
    for progress in (
        Progress("required work left undone", 9, 2, 0.1),
        Progress("required work left undone", 4, 4, 0.3),
        Progress("comfort", None, 30, 0.5),
        Progress("comfort", 12, None, 0.9),
    ):
        heard = note_stage(heard, progress)

    assert heard == (
        StageSeen("required work left undone", 4, 4, 0.3),
        StageSeen("comfort", 12, 30, 0.9),  # the bound it did not repeat stays known
    )


def test_a_digest_is_the_same_for_the_same_day_and_another_for_any_change() -> None:
    problem = small_day()
    other_people = replace(problem, people=problem.people[1:])
    locked = replace(problem, locks=((problem.people[0].id, 0, None),))
    published = replace(problem, published=((problem.people[0].id, 0, None),))

    assert digest_problem(problem) == digest_problem(small_day())
    assert len({digest_problem(p) for p in (problem, other_people, locked)}) == 3
    assert digest_problem(published) == digest_problem(problem)


def test_what_was_promised_is_part_of_a_seasons_question() -> None:
    problem = season([item("a")])
    promised = (PlannedUnits(problem.items[0].id, problem.sessions[0].id, 1),)

    assert digest_problem(problem) == digest_problem(season([item("a")]))
    assert digest_problem(problem, promised) != digest_problem(problem)


def test_every_step_the_planner_tells_of_has_words_of_its_own() -> None:
    heard: list[Progress] = []
    problem = day(
        [person(1, preferences=(("weed", 1),)), person(2)],
        [task(1, required=True), task(2, kind="mulch")],
        published=((1, 0, 1),),
    )

    solve_roster(problem, (), Limits(seconds=5), on_progress=heard.append)
    solve_season(season([item("a")]), Limits(seconds=5), on_progress=heard.append)

    told = {progress.stage for progress in heard}
    assert {"season"} < told <= set(STAGE_WORDS)
