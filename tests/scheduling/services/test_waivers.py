"""Two people waive a finding, one never does; what nobody may waive stays.

ASVS 5.0, 2.3.5 names safety overrides among what needs two people
(people-and-safety.md 11.23): pending with one, the same user cannot approve,
and what is not allowed has no override.
"""

from collections.abc import Iterator

import pytest
from django.db import IntegrityError, transaction

from orchard.models import Site, User
from orchard.services.roles import grant_role
from scheduling.domain.errors import RosterBlocked, WaiverRefused
from scheduling.models import Roster, Session, Waiver
from scheduling.queries.rosters import find_current_roster
from scheduling.queries.waivers import JudgedFinding, load_waivers
from scheduling.services.publish import publish_roster
from scheduling.services.rosters import propose_roster
from scheduling.services.waivers import confirm_waiver, propose_waiver, withdraw_waiver
from tests.scheduling.services.test_rosters import QUICK
from tests.signed_in import COORDINATOR, LEAD, NOW

REASON = "The lead of the next crew stands three metres away all morning."


@pytest.fixture
def ilse(db: None) -> int:
    return User.objects.get(email=COORDINATOR).pk


@pytest.fixture
def second(db: None) -> int:
    return User.objects.get(email=LEAD).pk


@pytest.fixture
def leaderless(small_day: Session) -> Iterator[Session]:
    """A kept roster whose leads' sign-offs were taken away since: LED-1, which may be waived."""
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    for signup in small_day.signups.select_related("person"):
        signup.person.skills.filter(skill="lead").delete()
    return small_day


def judged(session: Session, rule: str) -> list[JudgedFinding]:
    roster = find_current_roster(session.pk)
    assert roster is not None
    return [each for each in roster.judged if each.finding.rule == rule]


def propose(session: Session, by: int, mark: str, reason: str = REASON) -> int:
    return propose_waiver(session_id=session.pk, mark=mark, reason=reason, by=by, at=NOW)


def confirm(session: Session, waiver: int, by: int) -> None:
    confirm_waiver(session_id=session.pk, waiver_id=waiver, by=by, at=NOW)


def test_one_person_proposes_another_confirms_and_then_it_blocks_no_more(
    leaderless: Session, ilse: int, second: int
) -> None:
    findings = judged(leaderless, "LED-1")
    assert findings
    assert all(each.blocks for each in findings)
    first = findings[0]

    waiver = propose(leaderless, ilse, first.mark)
    pending = judged(leaderless, "LED-1")[0]
    confirm(leaderless, waiver, second)
    in_force = judged(leaderless, "LED-1")[0]

    assert (pending.blocks, in_force.blocks) == (True, False)
    assert in_force.finding == first.finding
    assert in_force.waiver is not None
    assert in_force.waiver.proposed_name == "Ilse Vandermolen"
    assert in_force.waiver.confirmed_name == "Wojciech Żurawiecki"
    assert (in_force.waiver.reason, in_force.waiver.text) == (REASON, first.finding.text)
    assert (in_force.waiver.proposed_at, in_force.waiver.confirmed_at) == (NOW, NOW)


def test_the_one_who_proposed_does_not_confirm(leaderless: Session, ilse: int) -> None:
    waiver = propose(leaderless, ilse, judged(leaderless, "LED-1")[0].mark)

    with pytest.raises(WaiverRefused, match="somebody else must confirm"):
        confirm(leaderless, waiver, ilse)

    assert Waiver.objects.get(pk=waiver).confirmed_at is None
    assert judged(leaderless, "LED-1")[0].blocks


def test_the_database_itself_refuses_the_same_person_twice(leaderless: Session, ilse: int) -> None:
    waiver = propose(leaderless, ilse, judged(leaderless, "LED-1")[0].mark)

    with pytest.raises(IntegrityError), transaction.atomic():
        Waiver.objects.filter(pk=waiver).update(confirmed_by_id=ilse, confirmed_at=NOW)


def test_a_roster_is_published_once_every_blocking_finding_is_waived(
    leaderless: Session, ilse: int, second: int
) -> None:
    roster = Roster.objects.get(session=leaderless)
    with pytest.raises(RosterBlocked):
        publish_roster(roster_id=roster.pk, at=NOW)

    for each in judged(leaderless, "LED-1"):
        confirm(leaderless, propose(leaderless, ilse, each.mark), second)
    publish_roster(roster_id=roster.pk, at=NOW)

    roster.refresh_from_db()
    assert roster.state == Roster.State.PUBLISHED
    assert judged(leaderless, "LED-1"), "a waived finding stays shown"


def test_a_pending_waiver_keeps_the_roster_blocked(leaderless: Session, ilse: int) -> None:
    for each in judged(leaderless, "LED-1"):
        propose(leaderless, ilse, each.mark)

    with pytest.raises(RosterBlocked):
        publish_roster(roster_id=Roster.objects.get(session=leaderless).pk, at=NOW)


@pytest.fixture
def under_age(small_day: Session) -> Session:
    """A kept roster whose people all became nine years old since: AGE and supervision rules."""
    propose_roster(session_id=small_day.pk, by=None, at=NOW, limits=QUICK)
    for signup in small_day.signups.select_related("person"):
        signup.person.birth_year = 2017
        signup.person.save(update_fields=["birth_year"])
    return small_day


def test_not_allowed_has_no_waiver(under_age: Session, ilse: int) -> None:
    roster = find_current_roster(under_age.pk)
    assert roster is not None
    blocking = [each for each in roster.judged if each.blocks and each.why_not]
    assert {"SUP-2", "CON-1"} <= {each.finding.rule for each in blocking}

    for each in blocking:
        with pytest.raises(WaiverRefused, match=f"Nobody may waive rule {each.finding.rule}"):
            propose(under_age, ilse, each.mark)
    assert not Waiver.objects.exists()


@pytest.mark.parametrize("reason", ["", "ok", "  because  ", "x" * 501])
def test_a_reason_that_says_nothing_is_refused(leaderless: Session, ilse: int, reason: str) -> None:
    with pytest.raises(WaiverRefused, match="The reason has"):
        propose(leaderless, ilse, judged(leaderless, "LED-1")[0].mark, reason)


def test_a_finding_that_is_not_there_is_not_waived(leaderless: Session, ilse: int) -> None:
    with pytest.raises(WaiverRefused, match="no longer has this finding"):
        propose(leaderless, ilse, "0" * 64)


def test_a_waiver_is_not_confirmed_when_its_finding_went_meanwhile(
    leaderless: Session, ilse: int, second: int
) -> None:
    waiver = propose(leaderless, ilse, judged(leaderless, "LED-1")[0].mark)
    for signup in leaderless.signups.select_related("person"):
        signup.person.skills.create(
            skill="lead", signed_off_by="Ilse Vandermolen", last_day=NOW.date().replace(year=2028)
        )

    with pytest.raises(WaiverRefused, match="no longer has this finding"):
        confirm(leaderless, waiver, second)


def test_a_withdrawn_waiver_lifts_nothing_and_stays_readable(
    leaderless: Session, ilse: int, second: int
) -> None:
    mark = judged(leaderless, "LED-1")[0].mark
    waiver = propose(leaderless, ilse, mark)
    confirm(leaderless, waiver, second)

    withdraw_waiver(session_id=leaderless.pk, waiver_id=waiver, by=second, at=NOW)

    assert judged(leaderless, "LED-1")[0].blocks
    (kept,) = load_waivers(leaderless.pk)
    assert (kept.withdrawn_name, kept.in_force) == ("Wojciech Żurawiecki", False)
    with pytest.raises(WaiverRefused, match="withdrawn"):
        confirm(leaderless, waiver, second)
    assert propose(leaderless, ilse, mark) != waiver


def test_one_waiver_at_a_time_stands_on_a_finding(leaderless: Session, ilse: int) -> None:
    mark = judged(leaderless, "LED-1")[0].mark
    propose(leaderless, ilse, mark)

    with pytest.raises(WaiverRefused, match="stands already"):
        propose(leaderless, ilse, mark)


def test_a_waiver_of_another_session_is_not_confirmed_here(
    leaderless: Session, ilse: int, second: int
) -> None:
    waiver = propose(leaderless, ilse, judged(leaderless, "LED-1")[0].mark)
    other = Session.objects.exclude(pk=leaderless.pk).first()
    assert other is not None

    with pytest.raises(WaiverRefused, match="not there"):
        confirm(other, waiver, second)


def test_names_are_kept_as_they_were_when_it_was_signed(leaderless: Session, second: int) -> None:
    nameless = User.objects.create_user("second.coordinator@example.org")
    site = Site.objects.get(slug="traverser-yard")
    grant_role(user_id=nameless.pk, site_id=site.pk, kind="coordinator", at=NOW)

    waiver = propose(leaderless, nameless.pk, judged(leaderless, "LED-1")[0].mark)

    assert Waiver.objects.get(pk=waiver).proposed_name == "second.coordinator@example.org"
