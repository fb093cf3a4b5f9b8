"""Every way a document can be wrong: one sentence, with the path and the line."""

import json
from time import perf_counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.parsing import MOST_BYTES, decode_document, find_format
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.writing import write_day_problem, write_season_problem
from tests.scheduling.domain.documents.small_documents import day, item, person, season, task

DAY = write_day_problem(
    day(
        [person("ana", holds=("lead",)), person("ben", age=9, guardian="ana")],
        [task("dig", heavy=True), task("fill", closes="dig")],
        published=(("ana", ("dig", None)),),
    )
)
SEASON = write_season_problem(season([item("w1"), item("w2", after=(("w1", True),))]))


def _line_of(text, part):
    return text[: text.index(part)].count("\n") + 1


def _fault(read, text):
    with pytest.raises(DocumentFault) as caught:
        read(text)
    return caught.value


DAY_FAULTS = [
    ('"age": 9', '"age": "9"', "people[1].age", "“9” stands where a whole number"),
    ('"age": 9', '"age": 9.0', "people[1].age", "9.0 stands where a whole number"),
    ('"age": 9', '"age": true', "people[1].age", "true stands where a whole number"),
    ('"age": 9', '"age": -1', "people[1].age", "-1 is given and at least 0"),
    ('"age": 9', '"age": 1e999', "people[1].age", "inf stands where"),
    ('"age": 9', '"age": NaN', "people[1].age", "NaN stands where"),
    ('"age": 9', '"age": ' + "9" * 5000, "people[1].age", "a number of 5,000 digits"),
    ('"age": 9', '"years": 9', "people[1].years", "no such key here"),
    ('"age": 9, ', "", "people[1]", "people[1] has no key “age”"),
    ('"age": 9', '"age": 9, "age": 10', "people[1].age", "stands twice"),
    ('"id": "ben"', '"id": "ana"', "people[1].id", "“ana” is there twice"),
    ('"id": "ben"', '"id": " "', "people[1].id", "the text is empty"),
    ('"id": "ben"', '"id": "b\\u0007n"', "people[1].id", "cannot be printed"),
    ('"id": "ben"', '"id": "\\ud800"', "people[1].id", "cannot be printed"),
    ('"guardian": "ana"', '"guardian": "eve"', "people[1].guardian", "“eve” is not among"),
    ('"guardian": "ana"', '"guardian": "ben"', "people[1].guardian", "their own guardian"),
    ('"2028-01-31"', '"2028-02-31"', "people[0].skills.lead", "no day of the calendar"),
    ('"2028-01-31"', '"20280131"', "people[0].skills.lead", "a day such as"),
    ('"restrictions": []', '"restrictions": ["no heights"]', "people[0].restrictions[0]",
     "no restriction of this format"),
    ('"present": [true, true]', '"present": [true]', "people[0].present", "the day has 2"),
    ('"present": [true, true]', '"present": [true, 1]', "people[0].present[1]", "true or false"),
    ('"experience": 1', '"experience": 3', "people[0].experience", "at most 2"),
    ('"rounds": 2', '"rounds": 0', "rounds", "0 is given and at least 1"),
    ('"units": 3', '"units": -3', "tasks[0].units", "-3 is given and at least 0"),
    ('"units": 3', '"units": 12345678901', "tasks[0].units", "at most 1000000"),
    ('"closes": "dig"', '"closes": "fill"', "tasks[1].closes", "closes itself"),
    ('"closes": "dig"', '"closes": "dug"', "tasks[1].closes", "“dug” is not among the tasks"),
    ('"closes": null', '"closes": "fill"', "tasks[0].closes", "closes itself by way of others"),
    ('"crew": {"min": 1, "max": 4}', '"crew": {"min": 5, "max": 4}', "tasks[0].crew.max",
     "at most 4 people and at least 5"),
    ('"weights": [20, 15, 12, 0]', '"weights": [20, 15, 12]', "rules.supervision.weights",
     "4 are asked for"),
    ('"denominator": 120', '"denominator": 0', "rules.supervision.denominator", "at least 1"),
    ('"ana": ["dig", null]', '"ana": ["dig"]', "published.ana", "the day has 2"),
    ('"preference": 1', '"liking": 1', "weights.liking", "no such key"),
    ('"tools": {}', '"tools": []', "tools", "a list stands where an object in braces"),
    ('"format": "day-problem/1"', '"format": "day-problem/2"', "format",
     "“day-problem/1” is asked for"),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "path", "words"), DAY_FAULTS)
def test_a_day_names_the_key_and_the_line(good, bad, path, words):
    text = DAY.replace(good, bad, 1)
    assert text != DAY

    fault = _fault(read_day_problem, text)

    assert fault.message.startswith(f"{path} (line {fault.line}): ")
    assert words in fault.message
    assert fault.line == _line_of(DAY, good)
    assert fault.message.count("\n") == 0


SEASON_FAULTS = [
    ('"after": [["w1", true]]', '"after": [["w2", true]]', "items[1].after", "w2 after w2"),
    ('"after": [["w1", true]]', '"after": [["w9", true]]', "items[1].after[0]", "not among"),
    ('"after": [["w1", true]]', '"after": [["w1"]]', "items[1].after[0]", "two are asked for"),
    ('"window": [0, 1]', '"window": [1, 0]', "items[0].window", "before it begins"),
    ('"window": [0, 1]', '"window": [0, 2]', "items[0].window[1]", "2 is given and at most 1"),
    ('"finish_by": null', '"finish_by": 2', "items[0].finish_by", "at most 1"),
    ('"units": 4', '"units": -4', "items[0].units", "at least 0"),
    ('"max": 2', '"max": 0', "items[0].crew.max", "0 is given and at least 1"),
    ('[[0, 1], 240]', '[[0, 7], 240]', "sessions[0].capacity[0][0][1]", "class 7 is not among"),
    ('[[0, 1], 240]', '[[0, 0], 240]', "sessions[0].capacity[0][0][1]", "there twice"),
    ('"id": "D1"', '"id": "D0"', "sessions[1].id", "“D0” is there twice"),
    ('"id": "w2"', '"id": "w1"', "items[1].id", "“w1” is there twice"),
    ('"discount": [1000, 1000]', '"discount": [1000]', "discount", "has 2 sessions"),
    ('"band": 3', '"band": 4', "classes[1].band", "4 is given and at most 3"),
    ('"late_penalty": 0', '"late_penalty": -1', "items[0].late_penalty", "at least 0"),
    ('"value_per_unit": 5', '"value_per_unit": 999999999', "items", "use smaller figures"),
]  # fmt: skip


@pytest.mark.parametrize(("good", "bad", "path", "words"), SEASON_FAULTS)
def test_a_season_names_the_key_and_the_line(good, bad, path, words):
    text = SEASON.replace(good, bad, 1)
    assert text != SEASON
    if path == "items":
        text = text.replace('"units": 4', '"units": 1000000')

    fault = _fault(read_season_problem, text)

    assert fault.message.startswith(f"{path} (line {fault.line}): ")
    assert words in fault.message
    assert fault.line == _line_of(SEASON, '"items"' if path == "items" else good)


def test_a_ring_of_several_items_is_written_out():
    text = write_season_problem(
        season([item(f"w{n}", after=((f"w{(n + 1) % 3}", True),)) for n in range(3)])
    )

    assert "w0 after w1 after w2 after w0" in _fault(read_season_problem, text).message


def test_a_season_without_sessions_is_refused():
    text = (
        SEASON[: SEASON.index('"sessions"')] + '"sessions": [],' + SEASON[SEASON.index('"items"') :]
    )

    assert "at least one session" in _fault(read_season_problem, text).message


def test_whoever_closes_more_than_is_opened_is_told():
    text = write_season_problem(
        season([item("open", units=3), item("fill", units=4, closes="open")])
    )

    fault = _fault(read_season_problem, text)

    assert "closes 4 holes and “open” opens 3" in fault.message
    assert fault.path == ("items", 1, "units")


NONSENSE = {
    "10 MB of letters": "x" * 10_000_000,
    "10 MB of open brackets": "[" * 10_000_000,
    "10 MB of open braces": '{"a":' * 2_000_000,
    "10 MB of one text": '"' + "a" * 10_000_000 + '"',
    "10 MB of numbers": "[" + "1," * 5_000_000 + "1]",
    "10 MB of backslashes": '{"format": "' + "\\\\" * 5_000_000,
    "10 MB of blank lines": "\n" * 10_000_000,
    "half a document": DAY[: len(DAY) // 2],
    "two documents": DAY + DAY,
    "nothing": "",
}


@pytest.mark.parametrize("name", NONSENSE)
def test_nonsense_is_refused_quickly_and_in_a_sentence(name):
    before = perf_counter()

    fault = _fault(read_day_problem, NONSENSE[name])

    assert perf_counter() - before < 10
    assert len(fault.message) < 400
    assert fault.message.endswith(".")


def test_where_the_brackets_grow_too_deep_is_said():
    fault = _fault(read_day_problem, '{"format":\n' * 30_000)

    assert fault.line == 41
    assert "nested more than 40 deep" in fault.message


def test_a_byte_order_mark_is_named():
    fault = _fault(
        lambda data: read_day_problem(decode_document(data)), b"\xef\xbb\xbf" + DAY.encode()
    )

    assert "byte order mark" in fault.message


def test_bytes_that_are_not_utf_8_are_named_with_their_line():
    fault = _fault(decode_document, b'{"format": "day-problem/1",\n "name": "caf\xe9"}')

    assert fault.line == 2
    assert "not UTF-8" in fault.message


def test_a_document_has_a_longest_length():
    assert "at most 20,000,000" in _fault(decode_document, b" " * (MOST_BYTES + 1)).message


def test_what_is_no_object_has_no_format():
    assert "an object in braces" in _fault(find_format, "[]").message
    assert find_format("{}") == ""
    assert find_format('{"format": 3}') == ""


@given(st.text())
def test_any_text_at_all_is_read_or_refused(text):
    for read in (read_day_problem, read_season_problem, read_day_roster, read_season_plan):
        _fault(read, text)


@given(st.data())
def test_a_document_with_one_value_replaced_is_read_or_refused_by_a_fault(data):
    """Nothing but a DocumentFault comes out, whatever stands where."""
    whole = json.loads(DAY)
    here, key = whole, None
    while isinstance(here, dict | list) and here:
        keys = list(here) if isinstance(here, dict) else range(len(here))
        parent, key = here, data.draw(st.sampled_from(keys))
        here = parent[key]
    parent[key] = data.draw(
        st.none() | st.booleans() | st.integers() | st.text(max_size=3) | st.just([]) | st.just({})
    )
    try:
        document = read_day_problem(json.dumps(whole))
    except DocumentFault as fault:
        document = fault
    assert getattr(document, "line", 1) == 1
