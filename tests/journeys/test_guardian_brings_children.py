"""The guardian's way: the family asks together and is answered together."""

import pytest
from django.test import Client

from scheduling.models import ConsentRecord, Person, Session, SignUp
from tests.journeys.conftest import Enter
from tests.signed_in import GUARDIAN, SEASON, SITE

S05 = f"{SEASON}/sessions/S05"
FAMILY = ("P02", "P41", "P53")  # Hạnh, Minh aged 15, Lan aged 9; none of them is down for S05


@pytest.fixture
def guardian(enter: Enter) -> Client:
    return enter(GUARDIAN)


def people(*codes: str) -> dict[str, list[int]]:
    return {"people": [Person.objects.get(code=code).pk for code in codes]}


def coming() -> set[str]:
    rows = SignUp.objects.filter(
        session__code="S05", person__code__in=FAMILY, state=SignUp.State.CONFIRMED
    )
    return set(rows.values_list("person__code", flat=True))


def test_the_whole_family_comes_and_one_child_stays_home_later(guardian: Client) -> None:
    page = guardian.get(f"{S05}/").content.decode()
    for name in ("Hạnh Nguyễn (you)", "Minh Nguyễn, 15 on the day", "Lan Nguyễn, 9 on the day"):
        assert name in page

    answer = guardian.post(f"{S05}/sign-up/", people(*FAMILY), follow=True).content.decode()
    assert "Signed up: Hạnh, Minh and Lan." in answer
    assert coming() == set(FAMILY)
    mine = guardian.get(f"{SITE}/my-sessions/").content.decode()
    assert all(name in mine for name in ("Hạnh", "Minh", "Lan"))

    guardian.post(f"{S05}/withdraw/", people("P41"), follow=True)
    assert coming() == {"P02", "P53"}


def test_one_missing_form_keeps_all_of_them_home(guardian: Client) -> None:
    ConsentRecord.objects.filter(person__code="P41").delete()

    answer = guardian.post(f"{S05}/sign-up/", people(*FAMILY), follow=True).content.decode()

    assert "Waiting, place 1" in answer
    assert "Minh" in answer
    assert coming() == set()


def test_a_family_that_does_not_fit_whole_stays_out_whole(guardian: Client) -> None:
    """One place is left, then two, then three."""
    session = Session.objects.get(code="S05")
    full = SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED).count()
    for places, wanted in ((1, set()), (2, set()), (3, set(FAMILY))):
        Session.objects.filter(pk=session.pk).update(capacity=full + places)

        guardian.post(f"{S05}/sign-up/", people(*FAMILY))

        assert coming() == wanted


def test_a_child_joins_the_guardian_who_is_signed_up_already(guardian: Client) -> None:
    guardian.post(f"{S05}/sign-up/", people("P02"))
    guardian.post(f"{S05}/sign-up/", people("P53"))

    assert coming() == {"P02", "P53"}
