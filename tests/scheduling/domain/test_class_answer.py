"""A class in full: NSPCC's September 2023 figures, the matrix of tools by age, and the changes."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from orchard.domain.plan import ToolItem
from scheduling.domain.class_answer import ClassAnswer, check_class
from scheduling.domain.policy import build_policy
from scheduling.domain.problem import RosterProblem
from scheduling.domain.rule_sets import get_rule_set
from tests.scheduling.domain.rule_days import adult, day, person, task, young

TOOLS = [
    ToolItem("hand_auger", "hand auger", 2, 14, briefing="auger"),
    ToolItem("rake", "rake", 8, 0),
    ToolItem("barrow", "wheelbarrow", 3, 14),
]
TASKS = [
    task(1, title="Weeding", kind="weed"),
    task(2, title="Boring", kind="core", minimum_age=10, tools={"hand_auger": 2}),
    task(3, title="Mulching", kind="mulch", tools={"rake": 4, "barrow": 1}),
    task(4, title="Drilling", kind="core", powered_min_per_round=20),
]
EMPTY = replace(day([], TASKS, tools=TOOLS), people=())


def ask(pupils, staff: int, checked: int, problem: RosterProblem = EMPTY) -> ClassAnswer:
    return check_class(problem, pupils_by_age=pupils, staff=staff, checked_staff=checked)


def missing(answer: ClassAnswer) -> int:
    return max((line.missing for line in answer.lines if line.rule.startswith("SUP")), default=0)


def test_a_mixed_class_of_twenty_seven() -> None:
    answer = ask(((7, 7), (10, 9), (12, 11)), staff=4, checked=3)
    by_method = {line.method: line for line in answer.lines if line.rule == "SUP-1"}
    together = by_method["everyone there, sum of fractions, rounded up once"]
    # 7/6 + 20/8 = 3.67: four, and one in charge; 27/6 = 4.5: five.
    assert together.text == (
        "27 pupils and 0 other young people: 7/6 + 20/8 = 3.67, rounded up 4; plus 1 lead with no "
        "crew to watch; floor 2 → 5."
    )
    alone = by_method["the class alone in one crew, the youngest one's ratio governs all"]
    assert "27 in all at the youngest one's 1 to 6: 27/6 = 4.5, rounded up 5" in alone.text
    assert [(line.required, line.there, line.missing) for line in by_method.values()] == [
        (5, 3, 2),
        (5, 3, 2),
    ]
    assert not answer.is_met
    assert answer.changes == (
        "A background check in date for the one of the staff who has none, and more checked "
        "adults beside them.",
        "Two more checked adults with the class.",
        "Or fewer pupils: without 7 of 7 and 4 of 10 years those who come are enough.",
        "Two more first aiders, of the school or found by the coordinator.",
    )


def test_the_changes_said_are_enough_and_one_pupil_more_is_not() -> None:
    assert missing(ask(((10, 5), (12, 11)), staff=4, checked=3)) == 0
    assert missing(ask(((10, 6), (12, 11)), staff=4, checked=3)) == 1
    assert missing(ask(((7, 7), (10, 9), (12, 11)), staff=6, checked=5)) == 0
    assert missing(ask(((7, 7), (10, 9), (12, 11)), staff=6, checked=4)) == 1


def test_who_counts_who_does_not_and_why() -> None:
    people = [
        adult(1, skills=("first_aid",)),
        adult(2),
        adult(3, checked=False),
        adult(4, checked=False),
        *young(10, 15, 3),
    ]
    answer = ask(((10, 9),), 3, 2, day(people, TASKS, tools=TOOLS))
    assert [(line.who, line.number, line.counts) for line in answer.adults] == [
        ("staff of the class", 2, True),
        ("staff of the class", 1, False),
        ("adults already coming", 1, True),
        ("adults already coming", 2, False),
        ("adults already coming", 1, False),
    ]
    whys = [line.why for line in answer.adults]
    assert "no background check in date: they count for their own class (GRP-1) only" in whys
    assert "no background check in date" in whys
    assert "the only first aider there, who may have to leave the others to help" in whys


def test_no_name_is_in_the_answer() -> None:
    people = [adult(1, name="Anneke T."), adult(2, name="Ilse V.", age=19), *young(10, 15, 1)]
    scouting = get_rule_set("SCOUTING-AMERICA")
    problem = day(people, TASKS, tools=TOOLS, supervision=scouting.supervision)
    answer = ask(((10, 9),), 3, 2, problem)
    for name in ("Anneke", "Ilse", "P10", "is 19"):
        assert name not in repr(answer)
    assert ("adults already coming", 1, False) in [
        (line.who, line.number, line.counts) for line in answer.adults
    ]


@pytest.mark.parametrize(
    ("title", "may", "watched", "may_not"),
    [
        # Matrix 2b: hand weeding C up to 11, then S; augers from 14, the log is open to all;
        # spreading C up to 11; powered work never under 18.
        ("Weeding", (7, 10, 12), (7, 10), ()),
        ("Boring", (10, 12), (), (7,)),
        ("Mulching", (7, 10, 12), (7, 10), ()),
        ("Drilling", (), (), (7, 10, 12)),
    ],
)
def test_what_the_class_can_do_and_cannot(title: str, may, watched, may_not) -> None:
    answer = ask(((7, 7), (10, 9), (12, 11)), staff=4, checked=4)
    (found,) = [line for line in answer.tasks if line.title == title]
    assert (found.may, found.watched, found.may_not) == (may, watched, may_not)


def test_tasks_say_why_and_what_holds_for_their_tools() -> None:
    answer = ask(((10, 9),), staff=2, checked=2)
    because = {line.title: line.because for line in answer.tasks}
    assert because["Weeding"] == ("Up to 10 years at arm's reach of an adult, at most 6 to one.",)
    assert because["Boring"] == ("The hand auger is for people of 14 or over in the crew.",)
    assert because["Mulching"][1] == "The wheelbarrow is for people of 14 or over in the crew."
    assert because["Drilling"] == ("Open from 18 years, it uses a powered tool.",)
    older = {line.title: line.because for line in ask(((15, 9),), 2, 2).tasks}
    assert older["Boring"] == ("The hand auger asks for a briefing signed off beforehand.",)


def test_each_adopted_set_has_its_arithmetic_and_the_strictest_comes_first() -> None:
    sets = tuple(get_rule_set(c) for c in ("NSPCC-2023", "SITE-1", "GIRLGUIDING-UK-AWAY"))
    school = (get_rule_set("UPPER-GRAND-508"),)
    problem = replace(EMPTY, policy=build_policy(sets, school))
    answer = ask(((7, 16), (10, 9)), staff=6, checked=6, problem=problem)
    required = [line.required for line in answer.lines]
    assert required == sorted(required, reverse=True)
    shown = {line.table: line.text for line in answer.lines if "everyone there" in line.method}
    assert shown["Girlguiding, away from the normal meeting place"].endswith(
        "16/5 → 4, 9/8 → 2: 6; plus 1 lead with no crew to watch; floor 2 → 7."
    )
    assert "16/8 + 9/12 = 2.75, rounded up 3" in shown[school[0].title]
    assert "16/6 + 9/8 = 3.79, rounded up 4" in shown["NSPCC Learning, September 2023"]


def test_a_set_without_a_number_asks_for_a_name_and_a_date() -> None:
    policy = build_policy((get_rule_set("OEAP"), get_rule_set("SITE-1")))
    answer = ask(((10, 5),), 2, 2, replace(EMPTY, policy=policy))
    (line,) = [line for line in answer.lines if line.method.startswith("a risk assessment")]
    assert (line.required, line.there) == (1, 0)
    assert "Give the name of whoever assessed the risk, and the day." in answer.changes
    assert "legal minimum" not in repr(answer).lower()


def test_nobody_asks_for_nothing() -> None:
    answer = ask((), 0, 0)
    assert (answer.lines, answer.tasks, answer.changes) == ((), (), ())
    assert answer.is_met


@settings(max_examples=40)
@given(
    pupils=st.dictionaries(st.integers(4, 17), st.integers(1, 12), min_size=1, max_size=4),
    checked=st.integers(0, 6),
)
def test_one_more_checked_adult_never_misses_more(pupils: dict[int, int], checked: int) -> None:
    problem = replace(EMPTY, people=(person(1), adult(2)))
    table = tuple(sorted(pupils.items()))
    before = missing(ask(table, checked, checked, problem))
    assert missing(ask(table, checked + 1, checked + 1, problem)) <= before
    enough = checked + before
    assert missing(ask(table, enough, enough, problem)) == 0
