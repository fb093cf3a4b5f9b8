"""Signing up and withdrawing on the session's page, with the rule book's answer at once."""

from http import HTTPStatus

import pytest

from scheduling.models import Person, Session, SignUp
from tests.signed_in import GUARDIAN, NOW, S02, SITE, VOLUNTEER, SignIn


@pytest.fixture
def lan(sign_in: SignIn) -> Person:
    """Nine years old, and nobody of her household is signed up for S02."""
    child = Person.objects.get(first_name="Lan", guardian__user__email=GUARDIAN)
    SignUp.objects.filter(session__code="S02", person__in=[child.pk, child.guardian_id]).delete()
    return child


def is_confirmed(person_id: int) -> bool:
    return SignUp.objects.filter(
        session__code="S02", person=person_id, state=SignUp.State.CONFIRMED
    ).exists()


def test_guardian_and_child_are_signed_up_together(sign_in: SignIn, lan: Person) -> None:
    page = sign_in(GUARDIAN).post(
        f"{S02}/sign-up/", {"people": [lan.pk, lan.guardian_id]}, follow=True
    )

    assert is_confirmed(lan.pk)
    assert is_confirmed(lan.guardian_id)
    assert "Signed up: Hạnh and Lan." in page.content.decode()
    assert "Add to calendar" in page.content.decode()


def test_a_child_alone_is_refused_with_rule_source_and_remedy(sign_in: SignIn, lan: Person) -> None:
    page = sign_in(GUARDIAN).post(f"{S02}/sign-up/", {"people": [lan.pk]})

    text = page.content.decode()
    assert page.status_code == HTTPStatus.OK
    assert not is_confirmed(lan.pk)
    assert "Not signed up" in text
    assert f'<a href="{SITE}/rule-book/#GUA-1">GUA-1</a>' in text
    assert "Source: SITE-1: Proposed" in text
    assert "What would clear it:" in text


def test_pressing_twice_signs_up_once(sign_in: SignIn, lan: Person) -> None:
    client = sign_in(GUARDIAN)
    both = {"people": [lan.pk, lan.guardian_id]}

    client.post(f"{S02}/sign-up/", both)
    second = client.post(f"{S02}/sign-up/", both)

    assert second.status_code == HTTPStatus.FOUND
    assert SignUp.objects.filter(session__code="S02", person=lan).count() == 1


def test_nobody_ticked_is_said_at_the_top_with_a_link_to_the_question(
    sign_in: SignIn, lan: Person
) -> None:
    text = sign_in(GUARDIAN).post(f"{S02}/sign-up/", {}).content.decode()

    assert '<a href="#div_id_people">Who is coming?: Tick at least one person.</a>' in text
    assert 'id="div_id_people"' in text


def test_nobody_signs_up_people_they_do_not_answer_for(sign_in: SignIn, lan: Person) -> None:
    text = sign_in(VOLUNTEER).post(f"{S02}/sign-up/", {"people": [lan.pk]}).content.decode()

    assert "Somebody was ticked whom you do not answer for." in text
    assert not is_confirmed(lan.pk)


def test_withdrawing_takes_people_off_and_says_who(sign_in: SignIn, lan: Person) -> None:
    client = sign_in(GUARDIAN)
    client.post(f"{S02}/sign-up/", {"people": [lan.pk, lan.guardian_id]})

    text = client.post(f"{S02}/withdraw/", {"people": [lan.pk]}, follow=True).content.decode()

    assert "Withdrawn: Lan." in text
    assert not is_confirmed(lan.pk)
    assert is_confirmed(lan.guardian_id)


def test_a_session_that_has_begun_offers_no_sign_up(sign_in: SignIn, lan: Person) -> None:
    Session.objects.filter(code="S02").update(starts_at=NOW)
    client = sign_in(GUARDIAN)

    page = client.get(f"{S02}/").content.decode()
    answer = client.post(f"{S02}/sign-up/", {"people": [lan.pk, lan.guardian_id]})

    assert 'id="sign-up"' not in page
    assert "Sign-up for S02 is closed" in answer.content.decode()
    assert not is_confirmed(lan.pk)


def test_withdrawing_from_a_begun_session_points_to_the_lead(sign_in: SignIn, lan: Person) -> None:
    client = sign_in(GUARDIAN)
    client.post(f"{S02}/sign-up/", {"people": [lan.pk, lan.guardian_id]})
    Session.objects.filter(code="S02").update(starts_at=NOW)

    text = client.post(f"{S02}/withdraw/", {"people": [lan.pk]}, follow=True).content.decode()

    assert "Tell the session lead instead." in text
    assert is_confirmed(lan.pk)


def test_a_name_with_markup_is_shown_as_text(sign_in: SignIn, lan: Person) -> None:
    Person.objects.filter(pk=lan.pk).update(first_name="<b>Lan</b>")

    text = sign_in(GUARDIAN).get(f"{S02}/").content.decode()

    assert "&lt;b&gt;Lan&lt;/b&gt;" in text
    assert "<b>Lan" not in text
