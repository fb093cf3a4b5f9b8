"""Bringing rows of the database in line with what the files say, and counting it.

For the import services. Rows are matched by their stable codes; a row that is
already right is not written. Front doors: `save_rows`, `ImportReport`.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import models

Key = TypeVar("Key", bound=Hashable)
Row = TypeVar("Row", bound=models.Model)


@dataclass(frozen=True, slots=True)
class NounCount:
    """What an import did to one kind of thing."""

    noun: str  # in the plural, as printed: "trees"
    created: int = 0
    changed: int = 0
    unchanged: int = 0
    removed: int = 0


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import did, noun by noun, in the order of the work."""

    counts: tuple[NounCount, ...]

    @property
    def created(self) -> int:
        """All rows that were not there before."""
        return sum(count.created for count in self.counts)

    @property
    def changed(self) -> int:
        """All rows that differed from the files."""
        return sum(count.changed for count in self.counts)

    @property
    def unchanged(self) -> int:
        """All rows that were right already."""
        return sum(count.unchanged for count in self.counts)

    @property
    def removed(self) -> int:
        """All rows that the files no longer hold."""
        return sum(count.removed for count in self.counts)

    def get_count(self, noun: str) -> NounCount:
        """Return one noun's counts.

        Raises:
            KeyError: If the import has nothing to do with the noun.
        """
        for count in self.counts:
            if count.noun == noun:
                return count
        raise KeyError(noun)

    def plus(self, other: "ImportReport") -> "ImportReport":
        """Return both reports as one."""
        return ImportReport(self.counts + other.counts)


def save_rows(
    noun: str,
    build: Callable[[Key], Row],
    existing: Mapping[Key, Row],
    wanted: Mapping[Key, Mapping[str, Any]],
    *,
    remove: bool,
    links: Mapping[str, Mapping[Key, Iterable[models.Model]]] | None = None,
) -> tuple[dict[Key, Row], NounCount]:
    """Create, change and remove rows until they say what is wanted.

    Args:
        noun: For the count.
        build: Makes an unsaved row of a key, with the key's fields set.
        existing: Rows in the database by key.
        wanted: Field values by key.
        remove: Delete existing rows that are not wanted; else they stay as they are.
        links: For each many-to-many field, the rows each key is linked to.

    Returns:
        The wanted rows by key, all saved, and the counts.
    """
    saved: dict[Key, Row] = {}
    created: list[Key] = []
    changed: set[Key] = set()
    for key, fields in wanted.items():
        row = existing.get(key)
        if row is None:
            saved[key] = _insert(build(key), fields)
            created.append(key)
            continue
        saved[key] = row
        differing = [name for name, value in fields.items() if getattr(row, name) != value]
        if differing:
            for name in differing:
                setattr(row, name, fields[name])
            row.save(update_fields=differing)
            changed.add(key)
    for field, targets in (links or {}).items():
        for key, linked in targets.items():
            if _link(saved[key], field, linked) and key not in created:
                changed.add(key)
    gone = [row for key, row in existing.items() if key not in wanted] if remove else []
    for row in gone:
        row.delete()
    untouched = len(wanted) - len(created) - len(changed)
    return saved, NounCount(noun, len(created), len(changed), untouched, len(gone))


def _insert(row: Row, fields: Mapping[str, Any]) -> Row:
    for name, value in fields.items():
        setattr(row, name, value)
    row.save(force_insert=True)
    return row


def _link(row: models.Model, field: str, linked: Iterable[models.Model]) -> bool:
    """Set a many-to-many field; say whether it differed."""
    relation = getattr(row, field)
    target = {other.pk for other in linked}
    if set(relation.values_list("pk", flat=True)) == target:
        return False
    relation.set(sorted(target))
    return True
