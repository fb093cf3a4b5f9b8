"""The liaison's pages of waiting, offers, numbers and requests, and the coordinator's answers."""

import re
from datetime import timedelta
from html import unescape
from http import HTTPStatus

import time_machine

from scheduling.models import ClassRequest, Message, SchoolGroup, Session, SignUp, VisitNumbers
from scheduling.services.class_bookings import record_group_signup
from tests.signed_in import (
    COORDINATOR,
    LEAD,
    LIAISON,
    NOW,
    OTHER_LIAISON,
    S02,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

CLASSES = f"{SITE}/classes/"
ASK = f"{SITE}/classes/ask/"
NUMBERS = f"{SITE}/classes/SLUICE-7/numbers/2027/S04/"
ON_FILE = {
    "session": 0, "staff": 4, "checked_staff": 4, "age_10": 13, "age_11": 9,
    "helpers": 2, "checked_helpers": 1, "needing_own_adult": 1,
}  # fmt: skip


def full_session() -> Session:
    """S02 with one space too few for Class 7."""
    session = Session.objects.get(code="S02")
    taken = SignUp.objects.filter(session=session, state="confirmed").count()
    Session.objects.filter(pk=session.pk).update(capacity=taken + 27)
    return session


def staff_ids() -> list[int]:
    return list(SchoolGroup.objects.get(code="SLUICE-7").staff.values_list("pk", flat=True))


def text_of(answer) -> str:
    return unescape(answer.content.decode())


def asked(**changes: object) -> dict[str, object]:
    group = SchoolGroup.objects.get(code="SLUICE-7").pk
    return {"group": group, "weekdays": [1], "age_10": 20, "staff": 3} | changes


def test_a_class_that_does_not_fit_is_let_wait_with_one_press_and_leaves_the_line(
    sign_in: SignIn,
) -> None:
    client, session = sign_in(LIAISON), full_session()
    check = text_of(client.get(f"{CLASSES}SLUICE-7/check/", ON_FILE | {"session": session.pk}))
    assert "Let Class 7 wait in line" in check

    answer = client.post(
        f"{CLASSES}SLUICE-7/sign-up/", {"session": session.pk, "wait": "on"}, follow=True
    )

    assert "Class 7 waits, place 1 in the line." in text_of(answer)
    assert "Place 1 in the line, for 28 spaces." in text_of(answer)
    line = text_of(sign_in(COORDINATOR).get(f"{S02}/roster/"))
    assert "Class 7, Sluice School, Ellemarre, since" in line
    client.post(f"{CLASSES}SLUICE-7/withdraw/", {"session": session.pk})
    assert SignUp.objects.get(session=session, group__code="SLUICE-7").state == "withdrawn"


def test_an_offer_is_taken_or_passed_on_from_the_page_of_ones_classes(sign_in: SignIn) -> None:
    client, session = sign_in(LIAISON), Session.objects.get(code="S02")
    group = SchoolGroup.objects.get(code="SLUICE-7")
    Session.objects.filter(pk=session.pk).update(capacity=90)
    row = SignUp.objects.create(
        session=session, group=group, state="offered", at=NOW, line=1,
        offer_until=NOW + timedelta(days=3),
    )  # fmt: skip
    assert "There is space for the whole class now." in text_of(client.get(CLASSES))
    address, said = f"{CLASSES}SLUICE-7/offer/", {"session": session.pk, "answer": "take"}

    first = text_of(client.post(address, said, follow=True))
    again = text_of(client.post(address, said, follow=True))

    row.refresh_from_db()
    assert row.state == "confirmed"
    assert "Class 7 is signed up for" in first
    assert "No spaces are offered any more" in again


def test_numbers_open_filled_in_and_are_confirmed_with_one_press(sign_in: SignIn) -> None:
    client = sign_in(LIAISON)
    text = text_of(client.get(NUMBERS))
    assert 'name="age_10" value="13"' in text
    assert len(re.findall(r'type="checkbox"[^>]* checked', text)) == len(staff_ids())
    said = ON_FILE | {"staff": staff_ids()}

    answer = client.post(NUMBERS, said, follow=True)

    assert "The numbers of Class 7 are confirmed." in text_of(answer)
    assert VisitNumbers.objects.get().said_at == NOW


def test_numbers_that_do_not_fit_say_the_rule_and_keep_the_booking(sign_in: SignIn) -> None:
    client = sign_in(LIAISON)

    text = text_of(client.post(NUMBERS, ON_FILE | {"staff": staff_ids(), "age_10": 60}))

    assert "Nothing was changed" in text
    assert "#SES-2" in text
    assert "What would clear it:" in text
    assert "stays signed up with 22 pupils, 4 staff, 2 helpers" in text
    assert 'name="age_10" value="60"' in text
    assert not VisitNumbers.objects.exists()


def test_odd_numbers_are_said_at_the_field(sign_in: SignIn) -> None:
    said = {"staff": staff_ids(), "age_10": "", "age_11": "", "helpers": 1, "checked_helpers": 2}

    text = text_of(sign_in(LIAISON).post(NUMBERS, said))

    assert "Write how many pupils there are, at one age at least." in text
    assert "2 checked helpers, but only 1 come." in text


def test_numbers_not_confirmed_show_on_the_sessions_page_to_those_who_run_it(
    sign_in: SignIn,
) -> None:
    session = Session.objects.get(code="S04")
    page = f"{SITE}/seasons/2027/sessions/S04/"
    SignUp.objects.filter(session=session, group__isnull=False).update(at=NOW)
    with time_machine.travel(session.starts_at - timedelta(days=2), tick=False):
        seen = {who: text_of(sign_in(who).get(page)) for who in (COORDINATOR, LEAD, VOLUNTEER)}
        mine = text_of(sign_in(LIAISON).get(CLASSES))

    assert "not confirmed" in seen[COORDINATOR]
    assert "not confirmed" in seen[LEAD]
    assert "Sluice School, Ellemarre: 22 pupils" not in seen[VOLUNTEER]
    assert "Confirm the numbers" in mine


def test_a_class_that_does_not_come_has_no_page_of_numbers(sign_in: SignIn) -> None:
    address = f"{CLASSES}SLUICE-7/numbers/2027/S02/"

    assert sign_in(LIAISON).get(address).status_code == HTTPStatus.NOT_FOUND
    assert sign_in(OTHER_LIAISON).get(NUMBERS).status_code == HTTPStatus.NOT_FOUND


def test_a_request_goes_from_asking_through_an_offer_to_a_booking(sign_in: SignIn) -> None:
    liaison, coordinator = sign_in(LIAISON), sign_in(COORDINATOR)
    session = Session.objects.get(code="S06")
    Session.objects.filter(pk=session.pk).update(capacity=90)
    said = asked(sessions=[session.pk], wished_kinds=["weed"], access_needs="A firm path")
    sent = text_of(liaison.post(ASK, said, follow=True))
    assert "Your request is with the coordinator" in sent
    request = ClassRequest.objects.get()

    listed = text_of(coordinator.get(f"{SITE}/class-requests/"))
    page = f"{SITE}/class-requests/{request.pk}/"
    shown = text_of(coordinator.get(page))
    done = coordinator.post(
        page, {"session": session.pk, "words": "Bring boots.", "answer": "offer"}, follow=True
    )

    assert "Class 7, Sluice School" in listed
    assert "A firm path" in shown
    assert f'value="{session.pk}" selected' in shown
    assert "the liaison is told by mail" in text_of(done)
    offered = text_of(liaison.get(CLASSES))
    assert "From the coordinator: Bring boots." in offered
    assert "Sign Class 7 up" in offered
    liaison.post(f"{CLASSES}SLUICE-7/sign-up/", {"session": session.pk})
    assert SignUp.objects.get(session=session, group__code="SLUICE-7").state == "confirmed"
    assert "Take the request back" not in text_of(liaison.get(CLASSES))


def test_declining_needs_its_sentence_on_the_page_too(sign_in: SignIn) -> None:
    sign_in(LIAISON).post(ASK, asked())
    request = ClassRequest.objects.get()
    client, page = sign_in(COORDINATOR), f"{SITE}/class-requests/{request.pk}/"

    without = text_of(client.post(page, {"answer": "decline", "session": "", "words": ""}))
    client.post(page, {"answer": "decline", "session": "", "words": "Ask again in June."})

    assert "Write a sentence" in without
    request.refresh_from_db()
    assert (request.state, request.answer) == ("declined", "Ask again in June.")
    assert "Ask again in June." in text_of(sign_in(LIAISON).get(CLASSES))
    assert Message.objects.filter(key=f"request/{request.pk}/declined", to=LIAISON).exists()


def test_a_request_is_kept_from_other_schools_and_sites(sign_in: SignIn) -> None:
    sign_in(LIAISON).post(ASK, asked())
    request = ClassRequest.objects.get()
    back = f"{CLASSES}requests/{request.pk}/take-back/"

    assert sign_in(OTHER_LIAISON).post(back).status_code == HTTPStatus.NOT_FOUND
    assert "What I asked for" not in text_of(sign_in(OTHER_LIAISON).get(CLASSES))
    elsewhere = f"/elsewhere/class-requests/{request.pk}/"
    assert sign_in(STRANGER).get(elsewhere).status_code == HTTPStatus.NOT_FOUND
    sign_in(LIAISON).post(back)
    request.refresh_from_db()
    assert request.state == "withdrawn"


def test_asking_without_a_day_or_for_another_schools_class_is_refused(sign_in: SignIn) -> None:
    client = sign_in(LIAISON)
    other = SchoolGroup.objects.get(code="LOCK-3B").pk

    text = text_of(client.post(ASK, asked(weekdays=[])))
    strange = client.post(ASK, asked(group=other))

    assert "Tick a session on which the class could come, or a day of the week." in text
    assert strange.status_code == HTTPStatus.OK
    assert not ClassRequest.objects.exists()


def test_a_booked_class_is_not_let_wait_beside(sign_in: SignIn) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    session = Session.objects.get(code="S04")
    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=NOW, wait=True)

    assert receipt.state == "confirmed"
    assert SignUp.objects.filter(session=session, group=group).count() == 1
