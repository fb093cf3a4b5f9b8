"""Right-to-left words as they are drawn: the PDF library sets letters in the order it gets them.

Front door: `turn_right_to_left`. Made for names inside a left-to-right line. Not the
whole of the Unicode bidirectional algorithm, and not for long passages: a run of more
words than a name has is turned word by word, so that each can be read where it stands.
"""

import re
import unicodedata
from collections.abc import Iterable
from functools import cache

NAME_WORDS = 6
_LETTERS = re.compile(r"[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]")
_FIGURES = re.compile(r"[0-9\u0660-\u0669\u06f0-\u06f9]+")
_PRESENTATION_FORMS_B = range(0xFE70, 0xFEFD)
_MIRRORED = str.maketrans("()[]{}<>«»", ")(][}{><»«")
_STRONG = frozenset({"R", "AL"})
_LEFT = "L"


def turn_right_to_left(text: str, known: Iterable[int] | None = None) -> str:
    """Return text with its right-to-left runs in drawing order, Arabic letters joined.

    Args:
        text: As it is written, in reading order.
        known: Code points that the font has; joined forms it lacks stay as written.

    Source:
        Unicode Standard Annex #9, rules L2 and L4, for runs at one level in a left-to-right
        paragraph; the Unicode Standard, section 9.2, for joining, with the forms that the
        character database names.
    """
    if not _LETTERS.search(text):
        return text
    return "".join(_turn(run, known) if turned else run for run, turned in _split_runs(text))


def _split_runs(text: str) -> list[tuple[str, bool]]:
    """Return runs with whether they go right to left; what joins two such runs goes with them."""
    runs: list[tuple[str, bool]] = []
    start = 0
    while start < len(text):
        if unicodedata.bidirectional(text[start]) not in _STRONG:
            end = next((n for n in range(start, len(text)) if _is_strong(text[n])), len(text))
            runs.append((text[start:end], False))
        else:
            end = _end_of_run(text, start)
            runs.append((text[start:end], True))
        start = end
    return runs


def _is_strong(letter: str) -> bool:
    return unicodedata.bidirectional(letter) in _STRONG


def _end_of_run(text: str, start: int) -> int:
    """Return where a run ends: after its last strong letter, marks and figures before a Latin one.

    Blanks and commas at the end stay with what follows: they belong to the line.
    """
    end = start + 1
    for place in range(start, len(text)):
        kind = unicodedata.bidirectional(text[place])
        if kind == _LEFT or text[place] in ",;":
            break
        closes = text[place] == ")" and "(" in text[start:end]
        if kind in _STRONG or kind == "NSM" or closes or (kind in ("EN", "AN") and end == place):
            end = place + 1
    return end


def _turn(run: str, known: Iterable[int] | None) -> str:
    joined = _join(run, known)
    if len(joined.split(" ")) > NAME_WORDS:
        return " ".join(_reverse(word) for word in joined.split(" "))
    return _reverse(joined)


def _reverse(run: str) -> str:
    """Return letters in reverse, marks behind theirs, figures as they were, brackets turned."""
    clusters: list[str] = []
    for letter in run:
        if clusters and unicodedata.category(letter) == "Mn":
            clusters[-1] += letter
        else:
            clusters.append(letter.translate(_MIRRORED))
    turned = "".join(reversed(clusters))
    return _FIGURES.sub(lambda found: found[0][::-1], turned)


@cache
def _forms() -> dict[str, dict[str, str]]:
    """Return each Arabic letter's or pair's joined forms by position: isolated, initial, …."""
    found: dict[str, dict[str, str]] = {}
    for code in _PRESENTATION_FORMS_B:
        position, _, letters = unicodedata.decomposition(chr(code)).partition(" ")
        base = "".join(chr(int(each, 16)) for each in letters.split())
        if position.startswith("<") and base and not base.startswith(" "):
            found.setdefault(base, {})[position.strip("<>")] = chr(code)
    return found


def _join(run: str, known: Iterable[int] | None) -> str:
    """Return the run with each Arabic letter in the form that its neighbours ask for."""
    forms, units = _forms(), _pair(run)
    shown = []
    for place, unit in enumerate(units):
        own = forms.get(unit)
        if own is None:
            shown.append(unit)
            continue
        before = _neighbour(units, place, -1)
        after = _neighbour(units, place, 1)
        joins_before = "final" in own and "initial" in forms.get(before, {})
        joins_after = "initial" in own and "final" in forms.get(after, {})
        position = _POSITIONS[joins_before, joins_after]
        form = own.get(position, unit)
        shown.append(form if known is None or ord(form[0]) in known else unit)
    return "".join(shown)


_POSITIONS = {
    (False, False): "isolated",
    (False, True): "initial",
    (True, True): "medial",
    (True, False): "final",
}


def _pair(run: str) -> list[str]:
    """Return letters one by one, with lam and a following alef as the one sign they become."""
    forms, units, place = _forms(), [], 0
    while place < len(run):
        size = 2 if run[place : place + 2] in forms and len(run[place : place + 2]) == 2 else 1
        units.append(run[place : place + size])
        place += size
    return units


def _neighbour(units: list[str], place: int, step: int) -> str:
    """Return the next letter that is no mark above or below, or nothing."""
    place += step
    while 0 <= place < len(units) and unicodedata.category(units[place][0]) == "Mn":
        place += step
    return units[place] if 0 <= place < len(units) else ""
