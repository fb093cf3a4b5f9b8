"""Recording who comes: the rule book first, all or none, twice the same as once."""

from datetime import timedelta

import pytest

from scheduling.domain.class_visit import ClassNumbers
from scheduling.domain.rule import Severity
from scheduling.models import CheckRecord, ConsentRecord, Person, SchoolGroup, Session, SignUp
from scheduling.queries.class_checks import check_class_at
from scheduling.services.class_bookings import record_group_signup
from scheduling.services.signups import (
    SignUpReceipt,
    record_signup,
    record_withdrawal,
)
from tests.signed_in import NOW

LATER = NOW + timedelta(hours=1)

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


def person(code: str) -> Person:
    return Person.objects.get(code=code)


@pytest.fixture
def session(db: None) -> Session:
    """S02 with three supervising adults and room for more."""
    session = Session.objects.get(code="S02")
    SignUp.objects.filter(session=session).delete()
    for code in ("P01", "P11", "P29"):
        SignUp.objects.create(
            session=session, person=person(code), state=SignUp.State.CONFIRMED, at=NOW
        )
    return session


def sign_up(session: Session, *codes: str) -> SignUpReceipt:
    ids = tuple(person(code).pk for code in codes)
    return record_signup(session_id=session.pk, person_ids=ids, at=LATER)


def confirmed(session: Session) -> set[str]:
    rows = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED)
    return set(rows.values_list("person__code", flat=True))


def blocking(receipt: SignUpReceipt) -> set[str]:
    return {f.rule for f in receipt.findings if f.severity is Severity.BLOCKS}


def test_a_family_comes_together(session: Session) -> None:
    receipt = sign_up(session, "P02", "P53")

    assert (receipt.state, receipt.people) == ("confirmed", ("Hạnh", "Lan"))
    assert confirmed(session) == {"P01", "P11", "P29", "P02", "P53"}


def test_one_refusal_keeps_the_whole_family_out(session: Session) -> None:
    """Minh's form is withdrawn: Hạnh and Lan could come, but all three asked together."""
    ConsentRecord.objects.filter(person__code="P41").delete()

    receipt = sign_up(session, "P02", "P41", "P53")

    assert receipt.state == "waiting"  # for the consent
    assert any("Minh" in finding.text for finding in receipt.findings)
    assert confirmed(session) == {"P01", "P11", "P29"}


def test_every_refusal_names_rule_source_and_remedy(session: Session) -> None:
    receipt = sign_up(session, "P53")

    refusals = [f for f in receipt.findings if f.severity is Severity.BLOCKS]
    assert {finding.rule for finding in refusals} == {"GUA-1"}
    for finding in refusals:
        assert "Lan" in finding.text
        assert finding.source
        assert finding.remedy


def test_signing_up_twice_is_once_and_keeps_the_first_time(session: Session) -> None:
    sign_up(session, "P02")
    first = SignUp.objects.get(session=session, person__code="P02")

    again = record_signup(
        session_id=session.pk,
        person_ids=(person("P02").pk, person("P53").pk),
        at=LATER + timedelta(days=1),
    )

    assert again.state == "confirmed"
    assert SignUp.objects.get(session=session, person__code="P02").at == first.at
    assert SignUp.objects.filter(session=session, person__code="P02").count() == 1


def test_whoever_withdrew_may_sign_up_again_on_the_same_row(session: Session) -> None:
    sign_up(session, "P02")
    row = SignUp.objects.get(session=session, person__code="P02")

    receipt = record_withdrawal(session_id=session.pk, person_ids=(row.person_id,), at=LATER)
    assert (receipt.state, len(receipt.people)) == ("withdrawn", 1)
    assert "P02" not in confirmed(session)
    sign_up(session, "P02")

    assert SignUp.objects.get(session=session, person__code="P02").pk == row.pk
    assert "P02" in confirmed(session)


def test_withdrawing_twice_withdraws_nobody_more(session: Session) -> None:
    ids = (person("P01").pk,)
    record_withdrawal(session_id=session.pk, person_ids=ids, at=LATER)
    row = SignUp.objects.get(session=session, person__code="P01")

    again = LATER + timedelta(days=1)
    receipt = record_withdrawal(session_id=session.pk, person_ids=ids, at=again)

    assert receipt.people == ()
    assert SignUp.objects.get(pk=row.pk).at == row.at


def test_a_family_larger_than_the_room_left_stays_out_whole(session: Session) -> None:
    Session.objects.filter(pk=session.pk).update(capacity=4)

    receipt = sign_up(session, "P02", "P53")

    (full,) = receipt.findings
    assert (full.rule, full.required, full.found) == ("SES-2", 4, 5)
    assert "takes 4 people; 3 are confirmed and 2 more" in full.text
    assert confirmed(session) == {"P01", "P11", "P29"}


@pytest.mark.parametrize(
    "columns",
    [
        {"state": Session.State.CALLED_OFF},
        {"state": Session.State.DONE},
        {"starts_at": LATER},
    ],
)
def test_a_session_that_is_over_or_called_off_takes_nobody(
    session: Session, columns: dict[str, object]
) -> None:
    Session.objects.filter(pk=session.pk).update(**columns)

    receipt = sign_up(session, "P02")

    assert blocking(receipt) == {"SES-1"}
    assert "P02" not in confirmed(session)


def test_somebody_of_another_site_is_never_quietly_left_out(session: Session) -> None:
    ids = (person("P02").pk, 999_999)

    with pytest.raises(Person.DoesNotExist, match="999999"):
        record_signup(session_id=session.pk, person_ids=ids, at=LATER)

    assert "P02" not in confirmed(session)


def test_a_class_comes_whole_with_its_staff(session: Session) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")

    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=LATER)
    again = record_group_signup(session_id=session.pk, group_id=group.pk, at=LATER)

    assert (receipt.state, again.state) == ("confirmed", "confirmed")
    assert SignUp.objects.filter(session=session, group=group).count() == 1


def test_a_class_without_checked_staff_stays_out_whole(session: Session) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    CheckRecord.objects.filter(person__staff_of=group).delete()
    SignUp.objects.filter(session=session).delete()

    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=LATER)

    assert receipt.state == "refused"
    assert not SignUp.objects.filter(session=session).exists()


def test_what_the_check_says_of_a_class_is_what_signing_up_does(session: Session) -> None:
    """22 pupils and 4 staff with 3 people there: the limit of 28 is passed by one."""
    group = SchoolGroup.objects.get(code="SLUICE-7")
    Session.objects.filter(pk=session.pk).update(capacity=28)

    numbers = ClassNumbers(pupils_by_age=((10, 13), (11, 9)), staff=4, checked_staff=4)
    answer = check_class_at(session.pk, numbers).check
    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=LATER)

    assert blocking(receipt) == {"SES-2"}
    assert "SES-2" in {f.rule for f in answer.findings if f.severity is Severity.BLOCKS}
    assert not SignUp.objects.filter(session=session, group=group).exists()


def test_a_guardian_does_not_leave_a_young_child_behind(session: Session) -> None:
    """Lan is nine: Hạnh alone may not withdraw, the two of them together may."""
    sign_up(session, "P02", "P53")
    guardian, child = person("P02").pk, person("P53").pk

    alone = record_withdrawal(session_id=session.pk, person_ids=(guardian,), at=LATER)
    assert (alone.state, blocking(alone)) == ("refused", {"GUA-1"})
    assert {"P02", "P53"} <= confirmed(session)

    together = record_withdrawal(session_id=session.pk, person_ids=(guardian, child), at=LATER)
    assert together.state == "withdrawn"
    assert not {"P02", "P53"} & confirmed(session)


def test_somebody_who_left_the_site_is_not_signed_up(session: Session) -> None:
    Person.objects.filter(code="P04").update(active=False)

    with pytest.raises(Person.DoesNotExist, match="no longer"):
        sign_up(session, "P04")

    assert confirmed(session) == {"P01", "P11", "P29"}
