"""SUP-3: no one-to-one, unless with the young person's own guardian."""

import pytest

from tests.scheduling.domain.rule_days import adult, broken, child, day, pupil

PEOPLE = [
    adult(1),
    adult(2),
    child(10, 9, guardian=1),
    child(11, 11, guardian=1),
    child(12, 15),
    child(13, 16),
    child(14, 14, guardian=77),  # a guardian who is not here
]


@pytest.mark.parametrize(
    ("crew", "passes"),
    [
        # Girl Guides Australia, Scouting America: crew {adult, minor}, not the guardian: fails.
        ([2, 10], False),
        ([2, 12], False),
        ([2, 14], False),
        # The guardian of that child only: passes.
        ([1, 10], True),
        ([1, 10, 11], True),
        # The guardian of one child alone with another's child.
        ([1, 12], False),
        ([1, 10, 12], True),
        ([1, 2, 12], True),
        # Two young people without an adult make two.
        ([12, 13], False),
        ([12], False),
        ([1, 2], True),
    ],
)
def test_company_of_a_young_person(crew: list[int], passes: bool) -> None:
    assert (broken("SUP-3", day(PEOPLE), {(1, 0): crew}) == ()) is passes


def test_a_pupil_of_eighteen_is_not_left_alone_with_one_adult() -> None:
    problem = day([adult(1), pupil(2, 18)])
    assert broken("SUP-3", problem, {(1, 0): [1, 2]})


def test_a_site_with_larger_crews_has_guardian_and_child_joined_by_another() -> None:
    problem = day([adult(1), adult(2), child(3, 9, guardian=1)], smallest_crew_with_young=4)
    assert broken("SUP-3", problem, {(1, 0): [1, 3]})
    assert not broken("SUP-3", problem, {(1, 0): [1, 2, 3]})
