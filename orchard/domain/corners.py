"""Corners typed by hand, one on each line, as a table of one area.

Reads "28.5 6", "28,5; 6", "93 ft, 20 ft" and, for longitude and latitude, "5.28 52.78".
Front door: `read_corners`.
"""

import re

from orchard.domain.table_files import TableUnreadable

MOST_LINES = 500
_SEPARATORS = (re.compile(r"\s*[;\t]\s*"), re.compile(r",\s+"), re.compile(r"\s+"), re.compile(","))


def read_corners(text: str) -> tuple[tuple[str, str], ...]:
    """Return the two parts of each line that is not empty.

    Args:
        text: Lines of two numbers, parted by a semicolon, a tab, a comma or spaces.

    Raises:
        TableUnreadable: If a line has not two parts, or there are too many lines.
    """
    lines = [(number, line.strip()) for number, line in enumerate(text.splitlines(), start=1)]
    written = [(number, line) for number, line in lines if line]
    if len(written) > MOST_LINES:
        raise TableUnreadable(
            f"{len(written)} corners were given; at most {MOST_LINES} are read. Draw it with fewer."
        )
    return tuple(_split(number, line) for number, line in written)


def _split(number: int, line: str) -> tuple[str, str]:
    for separator in _SEPARATORS:
        parts = separator.split(line)
        if len(parts) == 2 and all(parts):
            return parts[0], parts[1]
        if len(parts) == 4 and separator.pattern == r"\s+":  # "93 ft 20 ft"
            return f"{parts[0]} {parts[1]}", f"{parts[2]} {parts[3]}"
    raise TableUnreadable(
        f"Line {number} is “{line[:40]}”. Write two numbers for each corner, for example 28.5 6."
    )
