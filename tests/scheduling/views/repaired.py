"""What tests of repairs share: the page, what is sent to it, what is read from it. Not tests."""

import re

from scheduling.models import Roster
from tests.signed_in import S02

PAGE = f"{S02}/roster/repair/"
KEEP = f"{PAGE}keep/"


def busy(row: Roster) -> int:
    return int(row.places.exclude(person=None).order_by("person").first().person_id)


def happened(row: Roster, **more: object) -> dict[str, object]:
    return {"roster": row.pk, "next_round": 0} | more


def sealed_in(text: str) -> str:
    found = re.search(r'name="sealed" value="([^"]+)"', text)
    assert found
    return found[1]


def places(row: Roster) -> set[tuple[int | None, int, int]]:
    return set(row.places.values_list("person_id", "round", "task_id"))
