"""Thirty people press at the same moment: never oversold, never half a family, never twice.

Threads need a committed database, so each of these tests loads the season and
the database is emptied after it. On SQLite the write lock taken at the start of
a transaction protects; on PostgreSQL only the row locks do, so both are tried.
"""

from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from threading import Barrier
from time import sleep
from typing import TypeVar

import pytest
from django.core import mail
from django.db import connection, transaction

from orchard.models import Plan, Task
from orchard.services.tasks import publish_tasks, record_done
from scheduling.domain.errors import RosterUnknown
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.limits import Limits
from scheduling.models import (
    InviteState,
    Message,
    Person,
    PlannedWork,
    Roster,
    SchoolGroup,
    Session,
    SignUp,
)
from scheduling.queries.problems import load_roster_problem
from scheduling.services.class_bookings import record_group_signup
from scheduling.services.hand_edits import edit_place
from scheduling.services.import_season import import_folder
from scheduling.services.outbox import send_waiting
from scheduling.services.publish import publish_roster
from scheduling.services.rosters import propose_roster
from scheduling.services.seasons import plan_season
from scheduling.services.signups import record_signup, record_withdrawal
from tests.conftest import FIXTURES

THREADS = 30
SUPERVISING = ("P01", "P03", "P11")
FAMILIES = {
    "P02": "P41", "P07": "P42", "P08": "P43", "P10": "P56", "P12": "P44", "P13": "P45",
    "P16": "P46", "P18": "P47", "P20": "P48", "P24": "P59", "P25": "P50", "P28": "P61",
    "P30": "P62", "P32": "P52",
}  # fmt: skip

T = TypeVar("T")

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture(params=["here", pytest.param("postgresql", marks=pytest.mark.postgres)])
def session(request: pytest.FixtureRequest, now: datetime) -> Session:
    """S06 with three supervising adults confirmed, on the database the tests run on."""
    if request.param != "here":
        assert connection.vendor == request.param, "Run this with .ci/with_postgres."
    import_folder(FIXTURES, at=now)
    session = Session.objects.get(code="S06")
    SignUp.objects.filter(session=session).delete()
    for code in SUPERVISING:
        SignUp.objects.create(
            session=session,
            person=Person.objects.get(code=code),
            state=SignUp.State.CONFIRMED,
            at=now,
        )
    return session


def all_at_once(presses: list[Callable[[], T]]) -> list[T]:
    """Run every press in a thread of its own, let go at one barrier; any error is raised."""
    barrier = Barrier(len(presses))

    def press_now(press: Callable[[], T]) -> T:
        try:
            connection.ensure_connection()
            barrier.wait(timeout=30)
            return press()
        finally:
            connection.close()

    with ThreadPoolExecutor(len(presses)) as pool:
        return list(pool.map(press_now, presses))


def room_for(session: Session, places: int) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=len(SUPERVISING) + places)


def pressing(session: Session, codes: tuple[str, ...], now: datetime) -> Callable[[], str]:
    ids = tuple(Person.objects.get(code=code).pk for code in codes)
    return lambda: record_signup(session_id=session.pk, person_ids=ids, at=now).state


def newly_confirmed(session: Session) -> set[str]:
    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED)
    return set(rows.values_list("person__code", flat=True)) - set(SUPERVISING)


def test_the_last_places_are_never_sold_twice(session: Session, now: datetime) -> None:
    room_for(session, 4)
    adults = Person.objects.filter(guardian=None).exclude(code__in=SUPERVISING).order_by("code")
    codes = [person.code for person in adults[:THREADS]]

    answers = all_at_once([pressing(session, (code,), now) for code in codes])

    assert Counter(answers) == {"confirmed": 4, "waiting": THREADS - 4}
    assert newly_confirmed(session) == {
        code for code, answer in zip(codes, answers, strict=True) if answer == "confirmed"
    }


def test_families_come_whole_or_not_at_all_however_often_they_press(
    session: Session, now: datetime
) -> None:
    """Seven places, fourteen families of two and one adult, everybody pressing twice."""
    room_for(session, 7)
    parties = [*FAMILIES.items(), ("P05",)]

    answers = all_at_once([pressing(session, codes, now) for codes in parties for _ in range(2)])

    coming = newly_confirmed(session)
    assert len(answers) == THREADS
    assert 6 <= len(coming) <= 7
    for index, codes in enumerate(parties):
        came = set(codes) <= coming
        assert came or not set(codes) & coming
        assert set(answers[2 * index : 2 * index + 2]) == {"confirmed" if came else "waiting"}
    rows = SignUp.objects.filter(session=session)
    assert rows.count() == len(SUPERVISING) + sum(len(codes) for codes in parties)
    line = list(rows.filter(state=SignUp.State.WAITING).order_by("line"))
    assert [row.line for row in line] == list(range(1, len(line) + 1))
    members = [row.party for row in line]
    assert members == sorted(members, key=members.index)  # a family stands together in the line


def test_a_class_and_single_people_never_pass_the_limit_together(
    session: Session, now: datetime
) -> None:
    """Room for the class of 26 or for single people, and the class presses in ten threads."""
    room_for(session, 27)
    group = SchoolGroup.objects.get(code="SLUICE-7")
    adults = Person.objects.filter(guardian=None, staff_of=None).exclude(code__in=SUPERVISING)
    codes = [person.code for person in adults.order_by("code")[: THREADS - 10]]

    def book() -> str:
        return record_group_signup(session_id=session.pk, group_id=group.pk, at=now).state

    answers = all_at_once([book] * 10 + [pressing(session, (code,), now) for code in codes])

    booked = SignUp.objects.filter(session=session, group=group).count()
    heads = SignUp.objects.filter(session=session, person__isnull=False).count() + 26 * booked
    assert heads <= len(SUPERVISING) + 27
    assert len(set(answers[:10])) == 1  # booked by one press, or full for all of them
    assert (answers[0] == "confirmed") == (booked == 1)


def test_withdrawing_and_signing_up_at_once_leaves_one_row(session: Session, now: datetime) -> None:
    room_for(session, 20)
    person = Person.objects.get(code="P05")
    sign_up = pressing(session, ("P05",), now)

    def withdraw() -> str:
        record_withdrawal(session_id=session.pk, person_ids=(person.pk,), at=now)
        return "withdrawn"

    all_at_once([sign_up, withdraw] * (THREADS // 2))

    assert SignUp.objects.filter(session=session, person=person).count() == 1


def test_a_roster_published_by_many_at_once_invites_everybody_once(
    session: Session, now: datetime
) -> None:
    roster = Roster.objects.create(
        session=session, version=1, status="best", value={}, bound={}, seconds=0,
        seed=1, engine="by hand", made_at=now,
    )  # fmt: skip

    receipts = all_at_once([lambda: publish_roster(roster_id=roster.pk, at=now)] * 8)

    assert sorted(receipt.invites for receipt in receipts) == [0] * 7 + [len(SUPERVISING)]
    assert Message.objects.count() == len(SUPERVISING)
    assert InviteState.objects.filter(sequence=0).count() == len(SUPERVISING)


def test_of_moves_made_at_once_on_one_roster_only_the_first_is_kept(
    session: Session, now: datetime
) -> None:
    """The others looked at a roster that is not the newest any more, and are told so."""
    plan = Plan.objects.get()
    publish_tasks(plan_id=plan.pk, on=now.date())
    roster = Roster.objects.create(
        session=session, version=1, status="best", value={}, bound={}, seconds=0,
        seed=1, engine="by hand", made_at=now,
    )  # fmt: skip
    task = TaskId(next(t.id for t in load_roster_problem(session.pk).tasks))
    account = Person.objects.get(code="P01").user_id

    def moving(code: str) -> Callable[[], bool]:
        person = PersonId(Person.objects.get(code=code).pk)

        def move() -> bool:
            try:
                edit_place(
                    session_id=session.pk, roster_id=roster.pk, person=person, round_=0,
                    task=task, by=account, at=now,
                )  # fmt: skip
            except RosterUnknown:
                return False
            return True

        return move

    answers = all_at_once([moving(code) for code in SUPERVISING])

    assert sorted(answers) == [False, False, True]
    assert Roster.objects.get(session=session, state=Roster.State.DRAFT).places.count() == 1


def test_the_planner_searches_outside_any_transaction(session: Session, now: datetime) -> None:
    """A search of seconds inside one would lock everybody else out of the database."""
    publish_tasks(plan_id=Plan.objects.get().pk, on=now.date())
    looks: list[bool] = []

    def look() -> bool:
        looks.append(connection.in_atomic_block)
        return False

    limits = Limits(seconds=2.0)
    plan_season(season_id=session.season_id, at=now, limits=limits, should_stop=look)
    of_season = len(looks)
    planned = PlannedWork.objects.filter(season_plan__current=True).order_by("session__starts_at")
    first = planned[0].session_id
    propose_roster(session_id=first, by=None, at=now, limits=limits, should_stop=look)

    assert 0 < of_season < len(looks)
    assert not any(looks)


def wait_until_somebody_waits() -> None:
    """Return when another connection waits for a row this one has locked, or after 20 s."""
    for _ in range(200 if connection.vendor == "postgresql" else 0):
        with connection.cursor() as cursor:
            cursor.execute("SELECT count(*) FROM pg_locks WHERE NOT granted")
            if cursor.fetchone()[0]:
                return
        sleep(0.1)


def test_work_counted_while_the_edited_plan_is_published_is_not_lost(
    session: Session, now: datetime
) -> None:
    plan = Plan.objects.get()
    publish_tasks(plan_id=plan.pk, on=now.date())
    task = Task.objects.get(key="COR-P1-1")
    # Kept content that differs from the plan's, so that publishing writes the row.
    Task.objects.filter(pk=task.pk).update(content_digest="of an earlier plan")

    def count() -> None:
        with transaction.atomic():
            record_done(units={task.pk: 1}, on=now.date())
            wait_until_somebody_waits()

    all_at_once([count, lambda: publish_tasks(plan_id=plan.pk, on=now.date())])

    task.refresh_from_db()
    assert task.content_digest != "of an earlier plan"
    assert task.units_done == 1


def test_senders_at_once_mail_every_message_once(session: Session, now: datetime) -> None:
    for number in range(40):
        Message.objects.create(
            to=f"reader{number}@example.org", subject="Round by round", text="Come.", made_at=now
        )

    reports = all_at_once([lambda: send_waiting(clock=lambda: now)] * 8)

    assert sum(report.sent for report in reports) == 40
    assert Counter(sent.to[0] for sent in mail.outbox) == {
        f"reader{number}@example.org": 1 for number in range(40)
    }
