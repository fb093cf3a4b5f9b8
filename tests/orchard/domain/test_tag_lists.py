"""Tags of trees as people write them."""

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from orchard.domain.errors import UnknownGround
from orchard.domain.ordering import natural_key
from orchard.domain.pieces import list_tags
from orchard.domain.tag_lists import read_tags

KNOWN = [f"T{number}" for number in range(1, 13)]


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("", ()),
        ("T3", ("T3",)),
        ("t3, T1;T2\nT2", ("T1", "T2", "T3")),
        ("T9 to T11", ("T9", "T10", "T11")),
        ("T1 to T2, T5 and T12", ("T1", "T2", "T5", "T12")),
    ],
)
def test_a_list_is_read_as_it_was_meant(text: str, tags: tuple[str, ...]) -> None:
    assert read_tags(text, KNOWN) == tags


@pytest.mark.parametrize("text", ["T13", "T4 to T2", "T1 to T2 to T3", "T1 to X9"])
def test_what_cannot_be_meant_is_refused_with_the_tags_there_are(text: str) -> None:
    with pytest.raises(UnknownGround, match="T1 to T12"):
        read_tags(text, KNOWN)


# Generation is timed by the first examples, which pay for the imports.
@settings(suppress_health_check=[HealthCheck.too_slow])
@given(st.sets(st.sampled_from(KNOWN), min_size=1))
def test_what_is_printed_is_read_back(tags: set[str]) -> None:
    ordered = sorted(tags, key=natural_key)

    assert read_tags(list_tags(ordered), KNOWN) == tuple(ordered)
