"""How people are named on pages and papers that others see."""

from scheduling.domain.people import ADULT_AGE
from scheduling.models import Person
from scheduling.queries.people_on_file import PersonOnFile


def printed_name(row: Person | PersonOnFile, age: int) -> str:
    """Return the name that may be printed: young people by first name alone."""
    if age < ADULT_AGE or not row.family_name:
        return row.first_name
    return f"{row.first_name} {row.family_name[0]}."
