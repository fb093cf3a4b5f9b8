"""A wish to learn is a liking for the work that teaches it, and no more than that."""

from dataclasses import replace
from datetime import date

import pytest

from orchard.domain.plan import SkillNeed
from scheduling.domain.problem import SkillHeld
from scheduling.domain.wishes import like_what_teaches
from tests.scheduling.domain.planner.days import person as make_person
from tests.scheduling.domain.planner.days import task as make_task

AUGER = make_task(1, kind="core", skills=(SkillNeed("auger", 1),))
WEED = make_task(2, kind="weed")


@pytest.mark.parametrize(
    ("liked", "becomes"), [((), 1), ((("core", -2),), -1), ((("core", 2),), 2)]
)
def test_a_wish_adds_one_to_the_liking_and_never_more_than_two(liked, becomes) -> None:
    person = replace(make_person(1), preferences=liked)

    wished = like_what_teaches(person, ("auger",), (AUGER, WEED))

    assert dict(wished.preferences) == {"core": becomes}


def test_who_holds_the_skill_already_learns_nothing() -> None:
    person = replace(make_person(1), skills=(SkillHeld("auger", date(2030, 1, 1)),))

    assert like_what_teaches(person, ("auger",), (AUGER,)) is person


def test_a_skill_no_task_asks_for_changes_nothing() -> None:
    person = make_person(1)

    assert like_what_teaches(person, ("scything",), (AUGER, WEED)) is person
