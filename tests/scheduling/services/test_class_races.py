"""Classes and people press at the same moment for one line: audited as those of people are.

On SQLite and on PostgreSQL, as `test_races` says.
"""

from collections import Counter
from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scheduling.models import Message, Person, SchoolGroup, Session, SignUp
from scheduling.queries.class_counts import load_class_counts
from scheduling.services.class_bookings import record_group_signup, record_group_withdrawal
from scheduling.services.signups import record_withdrawal
from scheduling.services.waiting import answer_class_offer, settle_lines
from tests.scheduling.services.test_races import (  # noqa: F401 (the fixture)
    SUPERVISING,
    all_at_once,
    pressing,
    session,
)

HEADS = 22 + 4 + 2  # pupils, staff and helpers of Class 7
SPARE = ("P05", "P06", "P08")

pytestmark = pytest.mark.django_db(transaction=True)


def room_for_class(session: Session, now: datetime, *, less: int) -> SchoolGroup:  # noqa: F811
    """Three more adults are confirmed, and `less` spaces too few are left for Class 7."""
    for code in SPARE:
        person = Person.objects.get(code=code)
        SignUp.objects.create(session=session, person=person, state="confirmed", at=now)
    capacity = len(SUPERVISING) + len(SPARE) + HEADS - less
    Session.objects.filter(pk=session.pk).update(capacity=capacity)
    return SchoolGroup.objects.get(code="SLUICE-7")


def booking(session: Session, group: SchoolGroup, now: datetime) -> Callable[[], str]:  # noqa: F811
    return lambda: (
        record_group_signup(session_id=session.pk, group_id=group.pk, at=now, wait=True).state
    )


def leaving(session: Session, code: str, now: datetime) -> Callable[[], str]:  # noqa: F811
    ids = (Person.objects.get(code=code).pk,)
    return lambda: record_withdrawal(session_id=session.pk, person_ids=ids, at=now).state


def audit(session: Session) -> None:  # noqa: F811
    """Nobody too many, spaces kept counted; one row each; no place in the line twice."""
    rows = SignUp.objects.filter(session=session)
    taking = rows.filter(state__in=["confirmed", "offered"])
    classes = load_class_counts(
        session.pk, taking.filter(group__isnull=False).values_list("group_id", flat=True)
    )
    heads = taking.filter(person__isnull=False).count() + sum(each.heads for each in classes)
    assert heads <= Session.objects.get(pk=session.pk).capacity
    for column in ("person_id", "group_id", "line"):
        values = [each for each in rows.values_list(column, flat=True) if each is not None]
        assert len(values) == len(set(values)), column


def test_a_class_pressed_many_times_waits_once_among_the_people(
    session: Session,  # noqa: F811
    now: datetime,
) -> None:
    group = room_for_class(session, now, less=4)
    for number in range(HEADS - 4):
        other = Person.objects.create(
            site=group.site, code=f"Z{number}", first_name="Adult", birth_year=1980, birth_month=1
        )
        SignUp.objects.create(session=session, person=other, state="confirmed", at=now)
    adults = Person.objects.filter(guardian=None, staff_of=None)
    adults = adults.exclude(code__in=(*SUPERVISING, *SPARE)).order_by("code")[:15]
    people = [pressing(session, (person.code,), now) for person in adults]

    answers = all_at_once([booking(session, group, now)] * 10 + people)

    assert Counter(answers) == {"waiting": 25}
    audit(session)
    line = SignUp.objects.filter(session=session, state="waiting").order_by("line")
    assert [row.line for row in line] == list(range(1, 17))
    assert line.filter(group=group).count() == 1


def test_spaces_freed_at_once_are_offered_to_the_class_once_and_never_twice(
    session: Session,  # noqa: F811
    now: datetime,
) -> None:
    """Two spaces are missing, three come free while others press for each of them."""
    group = room_for_class(session, now, less=2)
    assert booking(session, group, now)() == "waiting"
    adults = Person.objects.filter(guardian=None, staff_of=None)
    adults = adults.exclude(code__in=(*SUPERVISING, *SPARE)).order_by("code")[:12]
    presses = [pressing(session, (person.code,), now) for person in adults]

    all_at_once([leaving(session, code, now) for code in SPARE] + presses)

    audit(session)
    later = now + timedelta(minutes=1)
    all_at_once([lambda: settle_lines(at=later)] * 6)
    audit(session)
    state = SignUp.objects.get(session=session, group=group).state
    offers = Message.objects.filter(key__startswith="offer/", text__contains="Class 7")
    assert offers.count() == (state == "offered")


def test_an_offer_taken_and_passed_on_at_once_is_answered_once(
    session: Session,  # noqa: F811
    now: datetime,
) -> None:
    group = room_for_class(session, now, less=1)
    booking(session, group, now)()
    leaving(session, "P05", now)()
    assert SignUp.objects.get(session=session, group=group).state == "offered"

    def answering(accept: bool) -> Callable[[], tuple[str, tuple[str, ...]]]:
        def answer() -> tuple[str, tuple[str, ...]]:
            said = answer_class_offer(
                session_id=session.pk, group_id=group.pk, accept=accept, at=now
            )
            return said.state, said.people

        return answer

    answers = all_at_once([answering(accept=number % 2 == 0) for number in range(12)])

    given = [state for state, people in answers if people]
    assert len(given) == 1
    audit(session)
    assert SignUp.objects.get(session=session, group=group).state == given[0]


def test_booking_and_withdrawing_a_class_at_once_leaves_one_whole_row(
    session: Session,  # noqa: F811
    now: datetime,
) -> None:
    group = room_for_class(session, now, less=0)

    def withdraw() -> str:
        return record_group_withdrawal(session_id=session.pk, group_id=group.pk, at=now).state

    all_at_once([booking(session, group, now), withdraw] * 8)

    audit(session)
    assert SignUp.objects.get(session=session, group=group).state in ("confirmed", "withdrawn")
