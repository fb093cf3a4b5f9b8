"""Lines and offsets of paths, held against the JSON library that reads the same text."""

import json

from hypothesis import given
from hypothesis import strategies as st

from scheduling.domain.documents.faults import path_words
from scheduling.domain.documents.positions import find_depth_line, find_line, find_offset

plain = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
values = st.recursive(
    plain,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=15,
)


def _paths(value, path=()):
    yield path, value
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _paths(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _paths(inner, (*path, index))


@given(values, st.sampled_from((None, 0, 1, "\t")), st.booleans())
def test_every_path_leads_to_its_value(value, indent, ascii_only):
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only)
    decoder = json.JSONDecoder()

    for path, wanted in _paths(value):
        at = find_offset(text, path)
        found, end = decoder.raw_decode(text, at)
        if path and isinstance(path[-1], str):  # the key stands there, its value behind the colon
            assert found == path[-1]
            rest = text[end:].lstrip(" \t\n\r")
            assert rest[0] == ":"
            found, _ = decoder.raw_decode(rest[1:].lstrip(" \t\n\r"))
        assert found == wanted


@given(values)
def test_a_line_is_counted_from_the_offset(value):
    text = json.dumps(value, indent=1)

    for path, _ in _paths(value):
        assert find_line(text, path) == text[: find_offset(text, path)].count("\n") + 1


def test_the_second_of_two_equal_keys_is_found():
    text = '{"a": 1,\n "b": {"a": 2},\n "a": 3}'

    assert find_line(text, ("a",)) == 1
    assert find_line(text, ("a",), occurrence=2) == 3


def test_a_path_that_leads_nowhere_is_followed_as_far_as_it_goes():
    assert find_line('{"a":\n [1,\n 2]}', ("a", 7)) == 1
    assert find_line('{"a":\n [1,\n 2]}', ("a", 1)) == 3


def test_nesting_is_measured_outside_of_texts():
    assert find_depth_line('["[[[[",\n[\n[1]]]', 2) == 3


def test_paths_are_written_as_people_write_them():
    assert path_words(("people", 3, "skills", "first aid")) == "people[3].skills[“first aid”]"
