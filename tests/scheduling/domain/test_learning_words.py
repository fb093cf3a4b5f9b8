"""Who learns with whom, in words: the lead must know, and no young person is singled out as new."""

from datetime import date

from orchard.domain.plan import SkillNeed
from scheduling.domain.learning_words import tell_learning
from scheduling.domain.problem import SkillHeld
from scheduling.domain.roster import Assignment, Roster
from tests.scheduling.domain.planner.days import day, person, task

HELD = (SkillHeld("soil_auger", date(2030, 1, 1)),)
CORE = task(1, kind="core", title="Core A1", skills=(SkillNeed("soil_auger", 1),))
WEED = task(2, title="Weed B")


def roster(*cells):
    """Cells are person, round, task."""
    return Roster(tuple(Assignment(*cell) for cell in sorted(cells)), ())


def of(people, *cells):
    return tell_learning(day(people, [CORE, WEED]), roster(*cells))


def test_a_learner_is_named_with_who_is_signed_off_beside_them():
    people = [
        person(1, name="Ana B.", experience=2, skills=HELD),
        person(2, name="Ben T.", experience=1, wished_skills=("soil_auger",)),
        person(3, name="Cleo", age=16, experience=1, wished_skills=("soil_auger",)),
    ]

    told = of(people, (1, 0, 1), (2, 0, 1), (3, 0, 2), (1, 1, 1), (2, 1, 1))

    assert told.learners == ("Ben T. learns soil auger with Ana B.: “Core A1”, rounds 1 and 2.",)
    assert told.waiting == ("To learn soil auger another day: one young person.",)
    assert told.newcomers == ()


def test_nobody_learns_at_work_that_does_not_ask_for_the_skill_or_holding_it():
    people = [
        person(1, name="Ana B.", experience=2, skills=HELD, wished_skills=("soil_auger",)),
        person(2, name="Ben T.", experience=1, wished_skills=("soil_auger",)),
    ]

    told = of(people, (1, 0, 1), (2, 0, 2))

    assert told.learners == ()
    assert told.waiting == ("To learn soil auger another day: Ben T.",)


def test_newcomers_stand_with_the_old_hands_of_their_crews_or_without():
    people = [
        person(1, name="Ana B.", experience=2),
        person(2, name="Ben T.", experience=0),
        person(3, name="Dan K.", experience=0),
        person(4, name="Eve", experience=0, age=13),
        person(5, name="Fay", experience=0, age=15),
    ]

    told = of(people, (1, 0, 2), (2, 0, 2), (4, 0, 2), (3, 0, 1), (2, 1, 1), (4, 1, 1), (5, 1, 1))

    assert told.newcomers == (
        "Ben T. is new: with Ana B. in round 1, without an old hand in round 2.",
        "Dan K. is new: without an old hand in round 1.",
        "New: 2 young people; an old hand is in the crew in 1 of 3 rounds of their work.",
    )
    assert not any(name in " ".join(told.newcomers) for name in ("Eve", "Fay"))


def test_an_empty_roster_says_nothing_of_anybody():
    told = of([person(1, experience=0)])

    assert (told.learners, told.waiting, told.newcomers) == ((), (), ())
