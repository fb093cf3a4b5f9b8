"""Proposing a roster: a draft in place of the draft before, nothing kept without an answer."""

from unittest import mock

import pytest

from orchard.models import Task, User
from scheduling.domain.errors import NoAdultComing, NobodyComing, NothingPlanned, SessionUnknown
from scheduling.domain.planner.limits import Limits
from scheduling.domain.roster import RosterResult, SolveStatus
from scheduling.domain.rule import Severity
from scheduling.domain.rules import all_conditions
from scheduling.domain.verify import find_violations
from scheduling.models import (
    Person,
    PlannedWork,
    Roster,
    RosterPlace,
    RosterUnits,
    Session,
    SignUp,
)
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import find_current_roster, load_roster
from scheduling.services.publish import publish_roster
from scheduling.services.rosters import propose_roster
from tests.signed_in import COORDINATOR, NOW

QUICK = Limits(seconds=1.5)


def propose(session: Session, by: int | None = None) -> RosterResult:
    return propose_roster(session_id=session.pk, by=by, at=NOW, limits=QUICK)


def everything_kept() -> tuple[int, int, int]:
    return Roster.objects.count(), RosterPlace.objects.count(), RosterUnits.objects.count()


def test_an_answer_is_kept_whole_as_a_draft(small_day: Session) -> None:
    by = User.objects.get(email=COORDINATOR).pk

    result = propose(small_day, by)

    row = Roster.objects.get(session=small_day)
    assert result.status in (SolveStatus.BEST, SolveStatus.GOOD)
    assert (row.version, row.state, row.made_by_id) == (1, Roster.State.DRAFT, by)
    assert load_roster(row.pk) == result.roster
    assert row.places.exists()


def test_what_is_kept_breaks_no_rule(small_day: Session) -> None:
    propose(small_day)

    problem = load_roster_problem(small_day.pk)
    kept = load_roster(Roster.objects.get(session=small_day).pk)
    found = find_violations(problem, all_conditions(problem), kept)
    assert [finding for finding in found if finding.severity is Severity.BLOCKS] == []


def test_a_new_draft_takes_the_place_of_the_draft_before(small_day: Session) -> None:
    propose(small_day)
    propose(small_day)

    states = list(Roster.objects.filter(session=small_day).values_list("version", "state"))
    assert states == [(1, Roster.State.REPLACED), (2, Roster.State.DRAFT)]


def test_a_draft_beside_a_published_roster_leaves_it_published(small_day: Session) -> None:
    propose(small_day)
    publish_roster(roster_id=Roster.objects.get(session=small_day).pk, at=NOW)

    propose(small_day)

    states = list(Roster.objects.filter(session=small_day).values_list("version", "state"))
    current = find_current_roster(small_day.pk)
    assert states == [(1, Roster.State.PUBLISHED), (2, Roster.State.DRAFT)]
    assert current is not None
    assert current.version == 2


@pytest.mark.parametrize("status", [SolveStatus.IMPOSSIBLE, SolveStatus.UNDECIDED])
def test_an_answer_without_a_roster_keeps_nothing_and_leaves_the_draft(
    small_day: Session, status: SolveStatus
) -> None:
    # Without fixed places every day can be left undone, so such an answer is handed in here.
    propose(small_day)
    before = everything_kept()
    none_found = RosterResult(
        status, roster=None, value=None, bound=None, seconds=0.1, seed=1, conflicts=("Too young.",)
    )

    with mock.patch("scheduling.domain.planner.day.solve_roster", return_value=none_found):
        result = propose(small_day)

    assert result is none_found
    assert everything_kept() == before
    assert Roster.objects.get(session=small_day).state == Roster.State.DRAFT


def test_nobody_signed_up_is_said_and_nothing_kept(small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()
    before = everything_kept()

    with pytest.raises(NobodyComing, match=r"Nobody is signed up for S01\. Ask people"):
        propose(small_day)

    assert everything_kept() == before


def test_no_adult_signed_up_is_said_with_the_number_of_young_people(small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()
    for child in Person.objects.filter(code__in=("P54", "P56", "P58")):
        SignUp.objects.create(session=small_day, person=child, state=SignUp.State.CONFIRMED, at=NOW)

    with pytest.raises(NoAdultComing, match=r"3 young people would be alone\. Find"):
        propose(small_day)

    assert everything_kept() == (0, 0, 0)


def test_a_day_without_work_asks_for_the_season_first(small_day: Session) -> None:
    PlannedWork.objects.filter(session=small_day).delete()

    with pytest.raises(NothingPlanned, match="Plan the season first"):
        propose(small_day)

    assert everything_kept() == (0, 0, 0)


def test_a_day_whose_work_is_all_done_asks_for_other_work(small_day: Session) -> None:
    Task.objects.filter(planned_work__session=small_day).update(state=Task.State.DONE)

    with pytest.raises(NothingPlanned):
        propose(small_day)


@pytest.mark.usefixtures("season_of_the_file", "db")
def test_a_session_that_is_not_there_is_named() -> None:
    with pytest.raises(SessionUnknown, match="999999"):
        propose_roster(session_id=999_999, by=None, at=NOW, limits=QUICK)
