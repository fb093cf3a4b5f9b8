"""Reads how many of a class come to one session: what its liaison said for it, else the file.

Counts only; which rules they meet is asked elsewhere.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduling.models import SchoolGroup, SignUp, VisitNumbers

Ages = tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class ClassCounts:
    """A class at one session. `staff` holds ids of people; `said_at` is None for the file's.

    Helpers have no name on file: they stand in no roster, and take a space like anybody.
    """

    group: int
    name: str
    school: str
    pupils_by_age: Ages
    staff: tuple[int, ...]
    helpers: int
    checked_helpers: int
    needing_own_adult: int
    said_at: datetime | None = None

    @property
    def pupils(self) -> int:
        """Number of pupils."""
        return sum(count for _, count in self.pupils_by_age)

    @property
    def heads(self) -> int:
        """Pupils, staff and helpers: the spaces the class takes."""
        return self.pupils + len(self.staff) + self.helpers


def count_together(people: Iterable[int], classes: Iterable[ClassCounts]) -> int:
    """Return the spaces that people and classes take; staff who come singly too take one."""
    known = tuple(classes)
    named = {*people, *(person for each in known for person in each.staff)}
    return len(named) + sum(each.pupils + each.helpers for each in known)


def load_class_counts(session_id: int, group_ids: Iterable[int]) -> tuple[ClassCounts, ...]:
    """Return these classes as they come to a session, in order of id."""
    wanted = sorted(set(group_ids))
    if not wanted:
        return ()
    said = _said({session_id})
    groups = SchoolGroup.objects.filter(pk__in=wanted).order_by("pk").prefetch_related("staff")
    return tuple(_counts(group, said.get((session_id, group.pk))) for group in groups)


def count_helpers(session_id: int, group_ids: Iterable[int]) -> int:
    """Return how many helpers without a name on file come with these classes."""
    return sum(each.helpers for each in load_class_counts(session_id, group_ids))


def count_classes_coming(session_ids: Iterable[int]) -> dict[int, tuple[ClassCounts, ...]]:
    """Return the classes confirmed for each of these sessions that has any, in order of id."""
    wanted = set(session_ids)
    rows = list(
        SignUp.objects.filter(
            session_id__in=wanted, state=SignUp.State.CONFIRMED, group__isnull=False
        )
        .select_related("group")
        .prefetch_related("group__staff")
        .order_by("session_id", "group_id")
    )
    said = _said({row.session_id for row in rows})
    found: dict[int, tuple[ClassCounts, ...]] = {}
    for row in rows:
        if row.group is not None:
            counts = _counts(row.group, said.get((row.session_id, row.group.pk)))
            found[row.session_id] = (*found.get(row.session_id, ()), counts)
    return found


def _said(session_ids: set[int]) -> dict[tuple[int, int], VisitNumbers]:
    if not session_ids:
        return {}
    rows = (
        VisitNumbers.objects.filter(
            signup__session_id__in=sorted(session_ids), signup__state=SignUp.State.CONFIRMED
        )
        .select_related("signup")
        .prefetch_related("staff")
    )
    return {(row.signup.session_id, row.signup.group_id or 0): row for row in rows}


def _counts(group: SchoolGroup, said: VisitNumbers | None) -> ClassCounts:
    numbers = group if said is None else said
    on_file = {person.pk for person in group.staff.all()}
    return ClassCounts(
        group=group.pk,
        name=group.name,
        school=group.school,
        pupils_by_age=sort_ages(numbers.pupils_by_age),
        staff=tuple(sorted(on_file & {person.pk for person in numbers.staff.all()})),
        helpers=numbers.helpers,
        checked_helpers=numbers.checked_helpers,
        needing_own_adult=numbers.needing_own_adult,
        said_at=None if said is None else said.said_at,
    )


def sort_ages(by_age: dict[str, int]) -> Ages:
    """Return kept counts by age as pairs, the youngest first."""
    return tuple(sorted((int(age), int(count)) for age, count in by_age.items() if int(count)))
