"""Problems written as documents: what goes in comes out, and what cannot be said is listed."""

from dataclasses import replace

import pytest

from scheduling.domain.condition import AtMost, Forbid, Per, Reason, Section, Supervised
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.export_day import export_day, person_key, supervision_shares
from scheduling.domain.documents.export_season import export_season, list_unsaid_of_season
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.unsaid import list_unsaid
from scheduling.domain.documents.writing import write_season_problem
from scheduling.domain.past_share import PastShare
from scheduling.domain.people import Band, GroupId, ItemId, PersonId, SessionId, TaskId, pupil_id
from scheduling.domain.rule_set import Combining
from scheduling.domain.season import PlannedUnits
from tests.scheduling.domain.documents.small_documents import (
    day,
    item,
    person,
    random_season,
    season,
    session,
    task,
)

LEAD = person("lead", holds=("lead", "first aid"), checked=True)
WHY = Reason("AGE-2", "A reason of this test.", "test")


def _case(people=(), tasks=()):
    return build_day(day([LEAD, *people], tasks or [task("t1"), task("t2")]))


def _exported(case, *more):
    return export_day(case.problem, (*case.conditions, *more), name="again")


def test_a_document_that_became_a_problem_becomes_the_same_document():
    """Ids change, and the figures that a policy gives; people, work and presence stay."""
    case = _case([person("girl", age=9, guardian="lead", present=(True, False))])

    again = _exported(case)

    assert [one.id for one in again.people] == ["p1", "p2"]
    assert again.people[1] == replace(case.document.people[1], id="p2", guardian="p1")
    assert again.tasks[0] == replace(case.document.tasks[0], id="t1")
    assert again.rules.points_per_round == case.document.rules.points_per_round


def test_pupils_are_called_by_class_and_number():
    assert person_key(pupil_id(GroupId(3), 5)) == "g3-5"
    assert person_key(PersonId(17)) == "p17"


def test_who_may_do_nothing_in_a_round_is_not_there():
    refused = Forbid(WHY, (PersonId(1),), None, (1,))

    assert _exported(_case(), refused).people[0].present == (True, False)
    assert list_unsaid(_case().problem, (refused,)) == ()


def test_work_that_nobody_may_do_has_a_crew_of_nobody():
    refused = Forbid(WHY, None, (TaskId(2),))

    tasks = _exported(_case(), refused).tasks
    assert (tasks[0].crew_max, tasks[1].crew_min, tasks[1].crew_max) == (4, 0, 0)


def test_refusals_by_age_raise_the_age_and_others_are_listed():
    case = _case([person("young", age=20), person("old", age=60)])
    by_age = Forbid(WHY, (PersonId(2),), (TaskId(1),))
    by_name = Forbid(WHY, (PersonId(3),), (TaskId(1),))

    assert _exported(case, by_age).tasks[0].minimum_age == 21
    assert list_unsaid(case.problem, (by_age,)) == ()
    assert _exported(case, by_name).tasks[0].minimum_age == 0
    assert [line[:6] for line in list_unsaid(case.problem, (by_name,))] == ["AGE-2:"]


def test_rest_after_so_many_rounds_is_said_by_age_band():
    case = _case([person("boy", age=13)])
    rest = AtMost(Reason("STR-1", "", ""), 1, (PersonId(2),), None, Per.PERSON, (0, 1))
    other = replace(rest, tasks=(TaskId(1),))

    assert export_day(case.problem, (rest,), name="x").rules.rounds_before_rest == (2, 1, 2, 2)
    assert list_unsaid(case.problem, (rest,)) == ()
    assert len(list_unsaid(case.problem, (other,))) == 1


def test_the_strictest_ratio_of_each_band_that_comes_is_said():
    """NSPCC Learning, September 2023: 4 to 8 one to 6, 9 to 12 one to 8, 13 to 18 one to 10."""
    case = _case([person("a", age=7), person("b", age=9), person("c", age=13)])

    denominator, shares = supervision_shares(case.problem)

    assert [denominator / share for share in shares[:2]] == [6.0, 10.0]
    assert shares[2:] == (0, 0)


@pytest.mark.parametrize(
    ("combining", "said"), [(Combining.SUM, True), (Combining.YOUNGEST, False)]
)
def test_another_way_of_counting_mixed_ages_is_listed(combining, said):
    case = _case([person("a", age=7), person("b", age=13)])
    sections = (Section((PersonId(2),), 6), Section((PersonId(3),), 10))
    ratio = Supervised(Reason("SUP-1", "", ""), (PersonId(1),), sections, combining, 0, 1, Per.CREW)

    assert (list_unsaid(case.problem, (ratio,)) == ()) == said


def test_what_adults_have_had_this_season_goes_out_and_of_young_people_not():
    had = PastShare(sessions=2, rounds=7, heavy=4, even_heavy=2)
    case = _case([person("ana", past=had), person("eve", age=16, past=had)])

    ana, eve = _exported(case).people[1:]

    assert (ana.past, eve.past) == (had, None)
    said = "What young people have had so far this season: kept out of the document."
    assert said in list_unsaid(case.problem, case.conditions)
    assert said not in list_unsaid(_case([person("ana", past=had)]).problem, ())


def test_fixed_places_are_counted_as_unsaid():
    case = _case()
    problem = replace(case.problem, locks=((PersonId(1), 0, None),))

    assert list_unsaid(problem, ()) == ("1 place that you fixed: not in the document.",)


@pytest.mark.parametrize("seed", range(40))
def test_a_season_goes_out_as_it_came_in(seed):
    document = random_season(seed)
    case = build_season(document)

    again = export_season(case.problem, name=document.name)

    named = [replace(one, id=f"s{n}") for n, one in enumerate(document.sessions, start=1)]
    assert again == replace(document, sessions=tuple(named))
    assert read_season_problem(write_season_problem(again)) == again
    assert list_unsaid_of_season(case.problem, ()) == ()


def test_what_a_season_asks_beyond_the_format_is_listed():
    document = season(
        [item("w1", window=(0, 2)), item("w2", after=(("w1", True),)), item("w3"), item("w4")],
        [session(f"D{n}") for n in range(3)],
    )
    case = build_season(document)
    first, second, third, fourth = case.problem.items
    problem = replace(
        case.problem,
        items=(
            replace(first, sessions=(0, 2)),
            replace(second, lag_days=((ItemId("w1"), 7),)),
            replace(third, sessions=()),
            replace(fourth, after=((ItemId("w3"), True),)),
        ),
        heavy_kinds=("core",),
        heavy_most_percent=60,
        kept_free_percent=10,
        young_penalty=5,
        sessions=(
            replace(case.problem.sessions[0], young=((Band.FROM_12, 60),)),
            *case.problem.sessions[1:],
        ),
    )

    again = export_season(problem, name="x")
    promised = (PlannedUnits(ItemId("w1"), SessionId(1), 2),)

    assert [one.id for one in again.items] == ["w1", "w2"]
    assert again.items[0].window == (0, 2)
    assert again.sessions[0].capacity == (((0, 1), 216), ((1,), 54))
    assert list_unsaid_of_season(problem, promised) == (
        "1 piece of work promised by published rosters: the document may move it.",
        "1 item with closed sessions inside the window.",
        "1 item with days that must pass after other work.",
        "2 items that no session allows: left out.",
        "That no session is of one heavy kind of work alone: core, at most 60 % of its minutes.",
        "That there is work for the young where young people come: in 1 session.",
    )
