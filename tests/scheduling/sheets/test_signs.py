"""Every caution sign has its word and its own drawn shape."""

from dataclasses import replace
from typing import get_args

from orchard.domain.plan import Caution
from scheduling.sheets.content import build_day_pack
from scheduling.sheets.parts import Sign
from scheduling.sheets.render import render_day_pack
from scheduling.sheets.signs import SIGN_WORDS
from tests.scheduling.sheets.reading import find_task_page, page_texts, read_pdf


def test_every_sign_of_a_caution_has_a_word():
    signs = set(get_args(Sign))
    assert set(SIGN_WORDS) == signs
    assert set(get_args(Caution.__annotations__["sign"])) == signs


def test_every_sign_is_printed_with_its_word_and_draws_differently(published):
    contents = []
    for sign, word in SIGN_WORDS.items():
        entry = published.tasks[3]
        task = replace(entry.task, cautions=(Caution(sign, "Mind it."),))
        day = replace(published, people=(), tasks=(replace(entry, task=task),))
        data = render_day_pack(build_day_pack(day))
        number = find_task_page(data, "A Weed the ring")
        assert f"{word}. Mind it." in page_texts(data)[number]
        drawn = read_pdf(data).pages[number].get_contents().get_data().split(b"BT")
        contents.append(tuple(part.rpartition(b"ET")[2] for part in drawn))
    assert len(set(contents)) == len(SIGN_WORDS)
