"""The way of somebody of seventeen and their guardian, where the site lets them have an account.

The guardian adds them and signs; the young person signs up alone; mail goes to the guardian.
"""

from html import unescape

from django.test import Client

from scheduling.models import ConsentRecord, Message, Person, SignUp
from tests.journeys.conftest import Enter
from tests.signed_in import COORDINATOR, GUARDIAN, SEASON, SITE

S05 = f"{SEASON}/sessions/S05"
OWN = "yen.nhi@example.org"


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


def press(client: Client, address: str, **fields: object) -> str:
    return unescape(client.post(address, fields, follow=True).content.decode())


def state() -> str | None:
    rows = SignUp.objects.filter(session__code="S05", person__first_name="Yến-Nhi")
    return rows.values_list("state", flat=True).first()


def test_the_guardian_consents_and_the_young_person_signs_up(enter: Enter) -> None:
    guardian, coordinator = enter(GUARDIAN), enter(COORDINATOR)
    added = press(
        guardian, f"{SITE}/my-people/", first_name="Yến-Nhi", birth_month=9, birth_year=2009
    )
    assert "Sign the consent next" in added
    young_one = Person.objects.get(first_name="Yến-Nhi")
    own = f"{SITE}/my-people/{young_one.pk}/"
    gives = {"what": "account", "account-email": OWN}
    assert "is under 18" in press(coordinator, f"{SITE}/people/{young_one.pk}/", **gives)

    decided = press(coordinator, f"{SITE}/people/rules/", age=16, because="The board decided it.")
    assert "Own accounts from 16 years on." in decided
    press(coordinator, f"{SITE}/people/{young_one.pk}/", **gives)
    young = enter(OWN)
    assert "Yến-Nhi (you)" in read(young, f"{S05}/")

    waits = press(young, f"{S05}/sign-up/", people=[young_one.pk])
    assert "Waiting, place 1" in waits
    assert "consent" in waits.lower()
    signs = {
        "what": "consent", "consent-version": "2027-1", "consent-agreed": "on",
        "consent-last_day": "2027-12-31",
    }  # fmt: skip
    assert young.post(own, signs).status_code == 404, "nobody signs for themselves"
    assert not ConsentRecord.objects.filter(person=young_one).exists()

    assert "a consent holds today" in press(guardian, own, **signs)
    assert state() == SignUp.State.OFFERED
    assert "A space is free" in read(young, f"{S05}/")
    press(young, f"{S05}/offer/", answer="take")
    assert state() == SignUp.State.CONFIRMED
    assert "Yến-Nhi" in read(guardian, f"{SITE}/my-sessions/")

    offer = Message.objects.get(subject__startswith="A space is free")
    assert offer.to == GUARDIAN
    assert not Message.objects.filter(to=OWN).exists()
    withdrawn = press(guardian, f"{own}withdraw/")
    assert "nobody works without a consent" in withdrawn
    assert "without a consent they cannot come" in read(guardian, own)


def test_who_has_no_account_is_brought_by_the_guardian_alone(enter: Enter) -> None:
    guardian = enter(GUARDIAN)
    press(guardian, f"{SITE}/my-people/", first_name="Yến-Nhi", birth_month=9, birth_year=2009)
    young_one = Person.objects.get(first_name="Yến-Nhi")
    press(
        guardian, f"{SITE}/my-people/{young_one.pk}/", what="consent", **{
            "consent-version": "2027-1", "consent-agreed": "on", "consent-last_day": "2027-12-31",
        },
    )  # fmt: skip

    answer = press(guardian, f"{S05}/sign-up/", people=[young_one.pk])

    assert "Signed up: Yến-Nhi." in answer
    assert state() == SignUp.State.CONFIRMED
    assert young_one.user is None
