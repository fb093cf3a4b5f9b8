"""What will come to nothing is told in a sentence, and is no error."""

from dataclasses import replace

from scheduling.domain.documents.remarks import list_day_remarks, list_season_remarks
from scheduling.domain.documents.season_problem import DemandEntry
from tests.scheduling.domain.documents.small_documents import (
    LAPSED,
    RULES,
    day,
    item,
    person,
    season,
    task,
)

LEAD = person("lead", holds=("lead", "first aid"), checked=True)


def test_a_day_in_order_has_no_remark():
    assert list_day_remarks(day([LEAD, person("ana")], [task("t")])) == ()


def test_a_published_roster_may_name_who_and_what_is_gone():
    told = (("left", ("t", None)), ("lead", ("gone", "t")))

    assert list_day_remarks(day([LEAD], [task("t")], published=told)) == (
        "The published roster names left, who are not among the people: left out.",
        "The published roster names gone, not among the tasks: whoever had them is changed.",
    )


def test_young_people_whom_nobody_may_supervise_are_told_by_round():
    second = person("second", checked=True, present=(True, False))

    assert list_day_remarks(day([LEAD, second, person("boy", age=13)], [task("t")])) == (
        "Round 2: nobody may supervise the young people; checked adults there: 1, asked for in a "
        "zone: 2.",
    )


def test_a_class_without_staff_or_too_small_is_told():
    free = replace(RULES, checked_adults_per_zone=0)
    pupils = [person(f"s{n}", age=13, group="G0") for n in range(2)]

    assert list_day_remarks(day([LEAD, *pupils], [task("t")], rules=free)) == (
        "Class G0 has 2 pupils and works 3 together: it stays idle.",
        "Nobody is staff of class G0: it stays idle.",
    )


def test_work_that_nobody_may_do_is_told_with_the_reason():
    lapsed = person("lapsed", skills=(("saw", LAPSED),))
    tasks = [
        task("old", minimum_age=90),
        task("tool", tools=(("hoe", 1),)),
        task("saw", skills=(("saw", 1),)),
        task("big", crew_min=3, crew_max=4),
    ]

    assert list_day_remarks(day([LEAD, lapsed], tasks)) == (
        "Nobody may do “old”: 0 people are of age and willing, a crew has at least 1.",
        "Nobody may do “tool”: not enough of hoe on hand.",
        "Nobody may do “saw”: 0 of those who may hold “saw” in date, 1 asked for.",
        "Nobody may do “big”: 2 people are of age and willing, a crew has at least 3.",
    )


def test_a_season_tells_work_for_nobody_and_material_that_never_comes():
    asked = DemandEntry("tester", 3, 5)
    items = [item("w1", demands=(asked,)), item("w2", materials=(("mulch", 1),))]

    assert list_season_remarks(season(items)) == (
        "No kind of people may do w1, by age band and skill.",
        "No delivery is listed of mulch.",
    )
    assert list_season_remarks(season([item("w1")])) == ()
