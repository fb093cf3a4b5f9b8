"""The form of a session's record: the boxes of its task sheets, typed in afterwards."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django import forms

from orchard.domain.unit_words import say_in, turn_number, turn_unit
from orchard.domain.units import System
from scheduling.domain.records import WorkEntry
from scheduling.queries.records import RecordedLine, RecordPage
from scheduling.services.records import SessionEntry

MOST_UNITS = 100_000
MOST_PEOPLE = 500
MOST_MINUTES = 1000
COLUMNS = (
    ("units", "Done"),
    ("adults", "Adults"),
    ("young", "Young people"),
    ("minutes", "Minutes each"),
    ("note", "Note"),
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One field under its column's head."""

    head: str
    bound: forms.BoundField


@dataclass(frozen=True, slots=True)
class LineFields:
    """One task with its fields, as the page shows them."""

    line: RecordedLine
    counts: tuple[Cell, ...]


class RecordForm(forms.Form):
    """What was done: for each task units, people and minutes; and near misses."""

    people = forms.IntegerField(
        label="People who came", min_value=0, max_value=MOST_PEOPLE, initial=0
    )
    near_misses = forms.CharField(
        label="Near misses: what nearly went wrong, without names",
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        max_length=4000,
    )

    def __init__(
        self, *args: Any, page: RecordPage, system: System = System.METRIC, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.page, self.system = page, system
        if page.is_recorded:
            self.fields["people"].initial = page.people
            self.fields["near_misses"].initial = page.near_misses
        for line in page.lines:
            self._add_line(line)
        for field in self.fields.values():
            field.widget.attrs["class"] = "form-control"

    def _add_line(self, line: RecordedLine) -> None:
        title, unit = say_in(line.task.title, self.system), line.task.unit
        done = round(turn_number(line.units, unit, self.system))
        counts = (
            ("units", f"{title}: {turn_unit(unit, self.system)} done", MOST_UNITS, done),
            ("adults", f"{title}: adults", MOST_PEOPLE, 1 if line.adult_min else 0),
            ("young", f"{title}: young people", MOST_PEOPLE, 0),
            ("minutes", f"{title}: minutes each", MOST_MINUTES, round(line.adult_min)),
        )
        for name, label, most, initial in counts:
            self.fields[f"{name}_{line.task_id}"] = forms.IntegerField(
                label=label,
                min_value=0,
                max_value=most,
                required=False,
                initial=initial if self.page.is_recorded else None,
            )
        self.fields[f"note_{line.task_id}"] = forms.CharField(
            label=f"{title}: note", max_length=200, required=False, initial=line.note
        )

    def lines(self) -> Iterable[LineFields]:
        """Yield each task with its fields, in working order."""
        for line in self.page.lines:
            yield LineFields(
                line, tuple(Cell(head, self[f"{name}_{line.task_id}"]) for name, head in COLUMNS)
            )

    def to_entry(self, session_id: int) -> SessionEntry:
        """Return what was typed, blanks as nothing done."""
        data = self.cleaned_data
        return SessionEntry(
            session_id=session_id,
            people=data["people"],
            near_misses=data["near_misses"],
            work=tuple(
                WorkEntry(
                    task_id=line.task_id,
                    units=self._keep_units(data[f"units_{line.task_id}"] or 0, line.task.unit),
                    adults=data[f"adults_{line.task_id}"] or 0,
                    young=data[f"young_{line.task_id}"] or 0,
                    minutes=data[f"minutes_{line.task_id}"] or 0,
                    note=data[f"note_{line.task_id}"],
                )
                for line in self.page.lines
            ),
        )

    def _keep_units(self, typed: int, unit: str) -> int:
        """Return whole units as they are kept; square feet become whole square metres."""
        return round(typed / turn_number(1.0, unit, self.system))
