"""Places fixed by the coordinator: kept, obeyed by the next search, released, refused."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from orchard.models import Task, User
from scheduling.domain.errors import LocksContradict
from scheduling.domain.people import PersonId, TaskId
from scheduling.domain.planner.limits import Limits
from scheduling.models import Person, Roster, RosterLock, SchoolGroup, Session, SignUp
from scheduling.queries.locks import load_locks
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_roster
from scheduling.services.locks import fix_place, release_place
from scheduling.services.rosters import propose_roster
from tests.signed_in import COORDINATOR, NOW


def who(code: str) -> PersonId:
    return PersonId(Person.objects.get(code=code).pk)


def work(session: Session, kind: str = "weed") -> TaskId:
    return next(t.id for t in load_roster_problem(session.pk).tasks if t.kind == kind)


def fix(session: Session, person: PersonId, rounds=(0,), task: TaskId | None = None) -> int:
    by = User.objects.get(email=COORDINATOR).pk
    return fix_place(session_id=session.pk, person=person, rounds=rounds, task=task, by=by, at=NOW)


def propose(session: Session) -> Roster:
    propose_roster(session_id=session.pk, by=None, at=NOW, limits=Limits(seconds=2))
    return Roster.objects.get(session=session, state=Roster.State.DRAFT)


def test_the_next_search_keeps_to_what_is_fixed(small_day: Session) -> None:
    free = load_roster(propose(small_day).pk)
    busy = next(cell for cell in free.assignments if cell.round == 1)
    fix(small_day, busy.person, (1,))  # rests where they would have worked
    weeding = work(small_day)
    fix(small_day, who("P05"), (0, 2), weeding)

    found = load_roster(propose(small_day).pk)

    assert busy.person not in {cell.person for cell in found.assignments if cell.round == 1}
    for round_ in (0, 2):
        assert who("P05") in found.crew(weeding, round_)


def test_fixing_twice_is_once_and_another_place_replaces_it(small_day: Session) -> None:
    weeding = work(small_day)

    assert fix(small_day, who("P05"), (0, 1), weeding) == 2
    assert fix(small_day, who("P05"), (0, 1), weeding) == 0
    assert fix(small_day, who("P05"), (1,)) == 1

    kept = RosterLock.objects.order_by("round").values_list("round", "task_id")
    assert list(kept) == [(0, weeding), (1, None)]


def test_a_released_place_is_free_again_and_releasing_twice_is_harmless(
    small_day: Session,
) -> None:
    fix(small_day, who("P05"))
    lock = RosterLock.objects.get()

    assert release_place(session_id=small_day.pk, lock_id=lock.pk)
    assert not release_place(session_id=small_day.pk, lock_id=lock.pk)
    assert load_roster_problem(small_day.pk).locks == ()


def test_a_place_of_another_session_is_not_released(small_day: Session) -> None:
    fix(small_day, who("P05"))
    other = Session.objects.exclude(pk=small_day.pk).first()

    assert not release_place(session_id=other.pk, lock_id=RosterLock.objects.get().pk)
    assert RosterLock.objects.exists()


def test_what_a_rule_forbids_is_refused_with_its_sentence(small_day: Session) -> None:
    """Nobody kneels who asked not to (RST-1): the fixed place could never be held."""
    Person.objects.filter(code="P05").update(restrictions=["no kneeling"])
    kneeling = next(t for t in load_roster_problem(small_day.pk).tasks if t.kneeling)

    with pytest.raises(LocksContradict, match=r"What is fixed leaves no roster\..*Release"):
        fix(small_day, who("P05"), (0,), kneeling.id)

    assert not RosterLock.objects.exists()


def test_too_many_fixed_at_one_task_is_refused_when_it_is_one_too_many(
    small_day: Session,
) -> None:
    task = next(t for t in load_roster_problem(small_day.pk).tasks if t.kind == "weed")
    people = [person.id for person in load_roster_problem(small_day.pk).people]
    assert task.crew_most < len(people)

    for person in people[: task.crew_most]:
        fix(small_day, person, (0,), task.id)
    with pytest.raises(LocksContradict, match=str(task.crew_most)):
        fix(small_day, people[task.crew_most], (0,), task.id)

    assert RosterLock.objects.count() == task.crew_most


def test_a_contradiction_that_came_later_keeps_the_search_from_beginning(
    small_day: Session,
) -> None:
    kneeling = next(t for t in load_roster_problem(small_day.pk).tasks if t.kneeling)
    fix(small_day, who("P05"), (0,), kneeling.id)
    Person.objects.filter(code="P05").update(restrictions=["no kneeling"])

    with pytest.raises(LocksContradict, match="Release a fixed place"):
        propose(small_day)


@pytest.mark.parametrize(
    ("person", "rounds", "task", "sentence"),
    [
        (999_999, (0,), None, "Nobody with number 999999"),
        (None, (9,), None, "has rounds 1 to 4"),
        (None, (), None, "has rounds 1 to 4"),
        (None, (0,), 999_999, "no task with number 999999"),
    ],
)
def test_what_the_session_does_not_have_cannot_be_fixed(
    small_day: Session, person, rounds, task, sentence: str
) -> None:
    with pytest.raises(LocksContradict, match=sentence):
        fix(small_day, who("P05") if person is None else person, rounds, task)


def test_who_does_not_come_any_more_is_told_of_and_the_search_goes_on(small_day: Session) -> None:
    weeding = work(small_day)
    fix(small_day, who("P05"), (0,), weeding)
    fix(small_day, who("P06"), (3,))
    SignUp.objects.filter(session=small_day, person__code="P05").delete()
    small_day.rounds = 3
    small_day.save()

    lines = load_locks(small_day.pk, load_roster_problem(small_day.pk))

    assert load_roster_problem(small_day.pk).locks == ()
    assert "does not come to S01 any more" in lines[0].why_not
    assert "has no round 4 any more" in lines[1].why_not
    assert propose(small_day)


def test_work_that_is_not_offered_any_more_is_told_of(small_day: Session) -> None:
    weeding = work(small_day)
    fix(small_day, who("P05"), (0,), weeding)
    Task.objects.filter(pk=weeding).update(state=Task.State.DONE)

    (line,) = load_locks(small_day.pk, load_roster_problem(small_day.pk))

    assert "is not among the work offered on this day" in line.why_not


def test_a_numbered_pupil_is_fixed_like_anybody(small_day: Session) -> None:
    group = SchoolGroup.objects.first()
    SignUp.objects.create(
        session=small_day, group=group, state=SignUp.State.CONFIRMED, at=NOW + timedelta(days=1)
    )
    pupil = next(p for p in load_roster_problem(small_day.pk).people if p.group == group.pk)

    fix(small_day, pupil.id, (1,))

    assert load_roster_problem(small_day.pk).locks == ((pupil.id, 1, None),)
    assert load_locks(small_day.pk, load_roster_problem(small_day.pk))[0].name == pupil.name


def test_a_lock_is_of_one_person_or_one_pupil_and_once_a_round(small_day: Session) -> None:
    fix(small_day, who("P05"))
    known = {"session": small_day, "round": 0, "made_at": NOW}
    person = Person.objects.get(code="P05")

    for whose in ({}, {"person": person}, {"group": SchoolGroup.objects.first()}):
        with pytest.raises(IntegrityError), transaction.atomic():
            RosterLock.objects.create(**known, **whose)
