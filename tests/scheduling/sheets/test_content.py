"""What the day pack says, against the day written out by hand in packed_day."""

from dataclasses import fields, is_dataclass, replace

import pytest

from orchard.domain.plan import After, MaterialNeed
from scheduling.domain.people import PersonId
from scheduling.domain.published import DayTask, RosterPerson
from scheduling.domain.roster import Roster
from scheduling.domain.wording import unit_words
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.kit import day_share
from scheduling.sheets.words import task_letter, volume_words
from tests.scheduling.sheets import packed_day


def all_words(value):
    """Yield every string anywhere in a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, tuple | list):
        for item in value:
            yield from all_words(item)
    elif is_dataclass(value):
        for field in fields(value):
            yield from all_words(getattr(value, field.name))


def sheet(pack, letter):
    return next(task for task in pack.task_sheets if task.letter == letter)


def test_a_sheet_for_every_task_in_order(pack):
    assert [(task.letter, task.title) for task in pack.task_sheets] == [
        ("A", "Bore holes 1 to 42 of pocket P1"),
        ("B", "Fill holes 1 to 42 of pocket P1"),
        ("C", "Spread compost 50 mm deep"),
        ("D", "Weed the ring of tree T20"),
    ]


def test_the_lead_comes_first_and_a_class_comes_last_and_counted(pack):
    assert sheet(pack, "A").crews[0].people == ("Bożena Ż. (lead)", "Oskar B.", "Nguyễn T.")
    assert sheet(pack, "D").crews[0].people == ("Hanna O.", "Priya F.", "Class 7b: 12 pupils")


def test_rounds_are_counted_from_one_and_those_with_the_same_crew_share_a_line(pack):
    assert [(crew.round, crew.amount) for crew in sheet(pack, "B").crews] == [
        ("2 to 3, 10:15", "6, 12 holes"),
        ("4, 11:45", "24 holes"),
    ]
    # The same crew, but with another round between: two lines.
    assert [crew.round for crew in sheet(pack, "C").crews] == ["1, 09:30", "3, 11:00"]


def test_amounts_are_todays_share_in_loads_a_person_can_picture(pack):
    # 12 of 24 m² today: half of 1200 litres, 30 bags and 20 barrows.
    spread = sheet(pack, "C")
    assert spread.amounts[:2] == ("12 m² today", "of 24 m² in all; the rest on another day")
    assert "10 barrows of Green compost, screened" in spread.amounts
    assert spread.materials == ("Green compost, screened: 10 barrows, 15 bags, 600 litres",)


def test_a_part_of_a_tasks_holes_is_not_told_as_all_their_numbers(published):
    bored = published.tasks[0]
    numbers = sorted(hole.number for hole in bored.task.holes)
    span = f"numbers {numbers[0]} to {numbers[-1]}"
    tasks = (replace(bored, units_planned=bored.task.units - 1), *published.tasks[1:])
    part = build_day_pack(replace(published, tasks=tasks)).task_sheets[0].amounts

    assert bored.units_planned == bored.task.units
    assert span in build_day_pack(published).task_sheets[0].amounts[0]
    assert span not in part[0]
    assert span in part[1]


@pytest.mark.parametrize(
    ("today", "litres", "bags", "barrows"),
    [(3, 30.0, 3, 3), (1, 10.0, 1, 1), (7, 70.0, 7, 5), (10, 100.0, 10, 7), (12, 100.0, 10, 7)],
)
def test_a_share_rounds_loads_up_and_never_beyond_the_whole(today, litres, bags, barrows):
    task = packed_day.build_task("x", units=10)
    need = MaterialNeed("compost", 100.0, 10, 7, 999)
    share = day_share(DayTask(1, today, task), need)
    assert (share.litres, share.bags, share.barrow_loads) == (pytest.approx(litres), bags, barrows)


def test_order_names_the_other_tasks_by_letter(pack, published):
    assert "Task B fills these holes today; count them over to it" in sheet(pack, "A").order
    assert any("Fills the holes of task A" in line for line in sheet(pack, "B").order)
    tasks = list(published.tasks)
    tasks[2] = replace(
        tasks[2], task=replace(tasks[2].task, after=(After("weed-1", True), After("gone", False)))
    )
    changed = build_day_pack(replace(published, tasks=tuple(tasks)))
    assert sheet(changed, "C").order == ("Start when task D (Weed the ring of tree T20) is done",)


def test_at_most_seven_steps(published):
    tasks = (replace(published.tasks[0], task=replace(
        published.tasks[0].task, steps=tuple(f"Step {n}" for n in range(12)))),)  # fmt: skip
    assert len(build_day_pack(replace(published, tasks=tasks)).task_sheets[0].steps) == 7


def test_every_caution_is_kept_on_its_sheet_one_line_for_each_sign(pack, published):
    for entry, task in zip(published.tasks, pack.task_sheets, strict=True):
        signs = [line.sign for line in task.cautions]
        assert len(signs) == len(set(signs))
        printed = " ".join(line.text for line in task.cautions)
        for caution in entry.task.cautions:
            assert caution.sign in signs
            assert caution.text in printed


def test_who_opens_ground_is_told_when_to_stop(pack):
    assert any("cable" in line for line in sheet(pack, "A").stop_when)
    assert not any("cable" in line for line in sheet(pack, "D").stop_when)
    assert all(any("hurt" in line for line in task.stop_when) for task in pack.task_sheets)


def test_tools_are_counted_by_the_most_used_at_once(pack):
    lines = {line.name: (line.needed, line.on_hand) for line in pack.kit.tools}
    # By hand from the crews: round 1 has A, C, D; round 2 A, B; round 3 B, C, D; round 4 B.
    assert lines["Hand auger, 100 mm (4 in)"] == (2, 2)
    assert lines["Bucket, 10 litres (2.6 gal)"] == (6, 8)  # round 2: 2 + 4; round 3: 4 + 2
    assert lines["Wheelbarrow"] == (3, 4)  # round 1: 1 + 2
    assert lines["Pair of gloves"] == (9, 40)  # round 1: 4 + 5; round 3: 4 + 5
    assert lines["Tarpaulin"] == (2, 3)  # round 2: 1 + 1


def test_a_tool_the_store_lacks_is_called_short(pack):
    fork = next(line for line in pack.kit.tools if line.name == "Digging fork")
    assert (fork.needed, fork.on_hand) == (2, 1)
    assert "1 short: borrow" in fork.note


def test_materials_are_summed_over_the_day(pack):
    (compost,) = pack.kit.materials
    # 600 + 96 litres; 696 / 40 = 17.4 -> 18 bags; 10 + 2 barrows; 0.696 m³ × 620 = 431.5 kg.
    assert compost.volume == "696 litres"
    assert compost.bags == "18 of 40 L (1.41 cu ft)"
    assert compost.barrows == "12 barrows"
    assert compost.weight == "432 kg"


def test_everybody_is_named_but_pupils_are_counted(pack):
    names = [line.name for line in pack.sign_in.lines]
    assert set(packed_day.ADULTS) | set(packed_day.YOUNG) | {"Hanna O.", "Class 7b"} == set(names)
    (block,) = [line for line in pack.sign_in.lines if line.is_class]
    assert (block.name, block.count) == ("Class 7b", 24)
    assert not any("Pupil" in words for words in all_words(pack))


def test_young_people_carry_who_collects_them_and_adults_do_not(pack):
    collected = {line.name: line.collected_by for line in pack.sign_in.lines}
    assert collected["Ada"] == "Maud A."
    assert collected["Maud A."] == ""


def test_a_young_person_without_a_guardian_is_asked_about(published):
    alone = RosterPerson(PersonId(900), "Juno", True, ())
    pack = build_day_pack(replace(published, people=(*published.people, alone)))
    assert next(x for x in pack.sign_in.lines if x.name == "Juno").collected_by == "ask who"


def test_no_address_of_a_person_is_printed(published):
    people = tuple(
        replace(person, mail_to=f"p{person.id}@home.example", mail_name=f"Family {person.id}")
        for person in published.people
    )
    words = " ".join(all_words(build_day_pack(replace(published, people=people))))
    assert "home.example" not in words
    assert "Family" not in words


def test_by_name_every_person_finds_their_tasks(pack):
    lines = {line.name: line.letters for line in pack.roster.people}
    assert lines["Oskar B."] == ("A", "A", "–", "B")
    assert lines["Priya F."] == ("D", "–", "–", "–")
    assert [(line.name, line.letters) for line in pack.roster.people[-2:]] == [
        ("Class 7b: 12 pupils", ("D", "–", "–", "–")),
        ("Class 7b: 12 pupils", ("–", "–", "D", "–")),
    ]


def test_those_without_a_task_in_a_round_are_named(pack):
    last = pack.roster.rounds[3]
    assert [crew.letter for crew in last.crews] == ["B"]
    assert "Class 7b: 24 pupils" in last.without_task
    assert "Oskar B." not in last.without_task


def test_the_close_out_sheet_pairs_boring_with_filling(pack):
    (line,) = pack.close_out.lines
    assert (line.letter, line.planned) == ("A", "42 holes")
    assert line.filled_by == "B Fill holes 1 to 42 of pocket P1"


def test_without_boring_there_is_no_close_out_sheet_and_no_setting_out(published):
    quiet = replace(published, tasks=published.tasks[2:])
    pack = build_day_pack(quiet)
    assert pack.close_out is None
    assert pack.setting_out == ()


def test_boring_that_nobody_fills_is_called_out(published):
    pack = build_day_pack(replace(published, tasks=published.tasks[:1]))
    assert "ask the session's lead" in pack.close_out.lines[0].filled_by


def test_tape_lengths_meet_at_the_hole(pack, published):
    (plan,) = pack.setting_out
    holes = published.tasks[0].task.holes
    assert len(plan.lines) == len(holes)
    # Peg A (15.6, 10.4), peg B (20.4, 10.4); Pythagoras by hand for hole 1 at (15.65, 10.45):
    # √(0.05² + 0.05²) = 0.07 and √(4.75² + 0.05²) = 4.75.
    assert (plan.lines[0].from_a, plan.lines[0].from_b) == ("0.07", "4.75")


def test_the_briefing_says_when_where_who_and_what_to_tell_the_ambulance(pack):
    facts = {fact.label: fact.text for fact in (*pack.briefing.facts, *pack.briefing.who,
                                                *pack.briefing.emergency)}  # fmt: skip
    assert facts["When"] == "Saturday 17 April 2027, 09:30 to 13:00"
    assert facts["Position"].startswith("52.12346, -1.23450")  # five decimals, about a metre
    assert facts["Entrance"] == "North gate, Depot Lane"
    assert facts["First aider"] == "Ruth D."
    assert facts["Session lead"] == "Maud A."
    assert facts["Expected"] == "40 volunteers, 27 of them under 18"


def test_the_foot_has_version_and_time_in_the_sites_zone(pack):
    # Published at 17:04 UTC; British Summer Time is an hour ahead in April.
    assert pack.foot.startswith("Version 3 · published 12 April 2027 18:04")


def test_an_empty_day_still_makes_a_pack(published):
    empty = replace(published, people=(), tasks=(), roster=Roster((), ()))
    pack = build_day_pack(empty)
    assert pack.task_sheets == ()
    assert pack.sign_in.lines == ()
    assert all(block.crews == () for block in pack.roster.rounds)


@pytest.mark.parametrize(
    ("number", "unit", "words"),
    [
        (1, "hole", "1 hole"), (12, "hole", "12 holes"), (0, "tree", "0 trees"),
        (8, "m²", "8 m²"), (1, "m²", "1 m²"),
    ],
)  # fmt: skip
def test_units_read_as_people_say_them(number, unit, words):
    assert unit_words(number, unit) == words


@pytest.mark.parametrize(
    ("litres", "words"),
    [
        (0.2, "1 litre"),
        (96.0, "96 litres"),
        (999.2, "1000 litres"),
        (1200.0, "1.2 m³"),
        (1201.0, "1.3 m³"),
    ],
)
def test_volumes_are_rounded_up(litres, words):
    assert volume_words(litres) == words


def test_letters_go_on_after_z():
    assert [task_letter(i) for i in (0, 25, 26, 51, 52, 701, 702)] == [
        "A", "Z", "AA", "AZ", "BA", "ZZ", "AAA",
    ]  # fmt: skip
