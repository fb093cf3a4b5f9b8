"""A setting-out table by rows: few enough lines for one sheet that two people work from.

One tape lies on the base line from peg A to peg B; a second goes square off it.
Holes of a row share their offset, so a row is a line of the table; a hole that was
moved, or added in place of a refused one, has a line of its own. The table hole by
hole is `setting_out`.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.setting_out import SettingOut, SettingOutRow

SAME_M = 0.011  # two readings to the centimetre
_NAME = re.compile(r"([A-Z]+)(\d+)([a-z]*)")


@dataclass(frozen=True, slots=True)
class RowRun:
    """Holes of one row at even steps along the base line, or one hole, in metres.

    `step_m` is as a metric tape steps it off, `even_step_m` exact; both are 0 for a single
    hole. The tapes are those of the first and the last.
    """

    first: SettingOutRow
    last: SettingOutRow
    count: int
    offset_m: float
    step_m: float
    even_step_m: float = 0.0

    @property
    def names(self) -> str:
        """The holes as words: “C1 to C9”, or “C7b”."""
        if self.count == 1:
            return self.first.name
        return f"{self.first.name} to {self.last.name}"

    @property
    def step(self) -> str:
        """The step in metres as a tape is read, empty for a single hole."""
        if not self.step_m:
            return ""
        whole = abs(self.step_m * 100 - round(self.step_m * 100)) < 1e-6
        return f"{self.step_m:.2f}" if whole else f"{self.step_m:.3f}"


def build_row_table(table: SettingOut) -> tuple[RowRun, ...]:
    """Return the table's holes as runs, row by row, nearest the base line first.

    Args:
        table: From `setting_out.build_setting_out`, in any order.

    Assumes:
        Names are a row's letters and a place in the row, as `boreholes` gives them.
    """
    regular: dict[str, list[SettingOutRow]] = {}
    alone: list[SettingOutRow] = []
    for row in table.rows:
        found = _NAME.fullmatch(row.name)
        if found is None or found[3]:
            alone.append(row)
        else:
            regular.setdefault(found[1], []).append(row)
    runs: list[RowRun] = []
    for letters in sorted(regular, key=lambda letters: (len(letters), letters)):
        holes = sorted(regular[letters], key=lambda row: row.along_m)
        usual_m = _usual_offset(holes)
        straight = [hole for hole in holes if abs(hole.offset_m - usual_m) <= SAME_M]
        alone += [hole for hole in holes if hole not in straight]
        runs += _split(straight)
    singles = sorted(alone, key=lambda row: (row.offset_m, row.along_m))
    return (*runs, *(RowRun(row, row, 1, row.offset_m, 0.0) for row in singles))


def _usual_offset(holes: list[SettingOutRow]) -> float:
    offsets = sorted(hole.offset_m for hole in holes)
    return offsets[len(offsets) // 2]


def _split(holes: list[SettingOutRow]) -> Iterable[RowRun]:
    """Yield runs of holes at even steps; a gap or another step begins a new run."""
    start = 0
    while start < len(holes):
        end = start + 1
        step_m = holes[end].along_m - holes[start].along_m if end < len(holes) else 0.0
        # Steps are summed from the first hole, so that roundings do not add up.
        while (
            end < len(holes)
            and _place(holes[end]) == _place(holes[end - 1]) + 1
            and abs(holes[end].along_m - holes[start].along_m - (end - start) * step_m)
            <= SAME_M * (end - start)
            and holes[end].along_m - holes[end - 1].along_m < step_m + 2 * SAME_M
        ):
            end += 1
        group = holes[start:end]
        first, last = group[0], group[-1]
        even_m = (last.along_m - first.along_m) / max(1, len(group) - 1)
        yield RowRun(first, last, len(group), first.offset_m, _step_m(group), even_m)
        start = end


def _step_m(group: list[SettingOutRow]) -> float:
    """Return the step to the centimetre where that leads to the last hole, else to the millimetre.

    A step a few millimetres off would be a hand's breadth off at the twentieth hole.
    """
    if len(group) == 1:
        return 0.0
    span_m = group[-1].along_m - group[0].along_m
    steps = len(group) - 1
    whole = round(span_m / steps, 2)
    return whole if abs(whole * steps - span_m) <= SAME_M else round(span_m / steps, 3)


def _place(row: SettingOutRow) -> int:
    found = _NAME.fullmatch(row.name)
    return int(found[2]) if found else 0
