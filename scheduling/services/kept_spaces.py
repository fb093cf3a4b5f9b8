"""The spaces of a session that are offered to people and classes who have not answered yet."""

from collections.abc import Iterable
from dataclasses import dataclass

from orchard.queries.written import WrittenQuery
from scheduling.domain.people import ADULT_AGE, PersonId, age_on
from scheduling.models import Person, Session, SignUp
from scheduling.queries.class_counts import ClassCounts, load_class_counts
from scheduling.queries.session_rows import day_of


@dataclass(frozen=True, slots=True)
class KeptSpaces:
    """Who is offered a space: adults by number, young people by id, classes with their counts."""

    adults: int
    young: tuple[PersonId, ...]
    classes: tuple[ClassCounts, ...]

    @property
    def of_classes(self) -> int:
        """Spaces kept for classes, their staff counted."""
        return sum(each.heads for each in self.classes)

    @property
    def heads(self) -> int:
        """Spaces kept in all."""
        return self.adults + len(self.young) + self.of_classes


_OFFERED = WrittenQuery(
    lambda session_id: (
        SignUp.objects.filter(session_id=session_id, state=SignUp.State.OFFERED)
        .order_by()
        .values_list("person_id", "group_id")
    )
)
_BIRTHS = WrittenQuery(
    lambda ids: (
        Person.objects.filter(pk__in=ids)
        .order_by("pk")
        .values_list("pk", "birth_year", "birth_month")
    )
)


def load_kept(
    session: Session, *, without: Iterable[PersonId] = (), without_group: int = 0
) -> KeptSpaces:
    """Return the spaces offered in a session.

    Args:
        session: The session.
        without: People who ask now and are not counted.
        without_group: The class that asks now and is not counted.
    """
    rows = _OFFERED.ask(session.pk)
    asking = set(without)
    people = sorted({person for person, _ in rows if person is not None} - asking)
    groups = sorted({group for _, group in rows if group is not None} - {without_group})
    day = day_of(session)
    young = tuple(
        PersonId(number)
        for number, year, month in _BIRTHS.ask(tuple(people))
        if age_on(year, month, day) < ADULT_AGE
    )
    return KeptSpaces(
        adults=len(people) - len(young),
        young=young,
        classes=load_class_counts(session.pk, groups),
    )
