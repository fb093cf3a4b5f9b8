"""The liaison's check and signing a class up."""

from html import unescape
from http import HTTPStatus
from io import BytesIO

from pypdf import PdfReader

from scheduling.models import SchoolGroup, Session, SignUp
from tests.signed_in import COORDINATOR, LIAISON, NOW, OTHER_LIAISON, SITE, SignIn

CHECK = f"{SITE}/classes/SLUICE-7/check/"


def numbers(**changes: object) -> dict[str, object]:
    session = Session.objects.get(code="S05").pk
    return {"session": session, "staff": 4, "checked_staff": 4, "age_10": 13, "age_11": 9} | changes


def test_the_form_opens_with_the_class_as_it_is_on_file(sign_in: SignIn) -> None:
    text = sign_in(LIAISON).get(CHECK).content.decode()

    assert 'name="age_10" value="13"' in text
    assert 'name="age_11" value="9"' in text
    assert 'name="staff" value="4"' in text


def test_the_answer_lists_every_way_of_counting_with_its_source(sign_in: SignIn) -> None:
    text = sign_in(LIAISON).get(CHECK, numbers()).content.decode()

    # NSPCC Learning, September 2023: one adult to 8 children of 9 to 12 years; 22 / 8 is above 2.
    assert "22/8 = 2.75" in text
    assert "NSPCC Learning" in text
    assert "#SUP-1" in text
    assert SignUp.objects.filter(session__code="S05", group__isnull=False).count() == 0


def test_staff_without_background_checks_are_missing_adults(sign_in: SignIn) -> None:
    Session.objects.get(code="S05").signups.all().delete()

    text = sign_in(LIAISON).get(CHECK, numbers(checked_staff=0)).content.decode()

    assert "not met" in text
    assert "<strong>3</strong>" in text


def test_more_checked_than_come_is_said_at_the_top_and_at_the_field(sign_in: SignIn) -> None:
    text = sign_in(LIAISON).get(CHECK, numbers(staff=2, checked_staff=3)).content.decode()

    sentence = "3 checked adults, but only 2 come. Correct one of the two."
    assert text.count(sentence) == 2
    assert 'href="#div_id_checked_staff"' in text


def test_a_class_without_pupils_is_asked_for_them(sign_in: SignIn) -> None:
    text = sign_in(LIAISON).get(CHECK, numbers(age_10="", age_11="")).content.decode()

    assert "Write how many pupils there are, at one age at least." in text


def test_a_class_is_signed_up_once_however_often_it_is_pressed(sign_in: SignIn) -> None:
    client = sign_in(LIAISON)
    address = f"{SITE}/classes/SLUICE-7/sign-up/"
    Session.objects.filter(code="S05").update(capacity=60)
    session = Session.objects.get(code="S05").pk

    first = client.post(address, {"session": session}, follow=True).content.decode()
    client.post(address, {"session": session})

    assert "Class 7 is signed up." in first
    assert SignUp.objects.filter(session=session, group__code="SLUICE-7").count() == 1


def test_a_class_too_large_for_the_session_is_told_the_limit(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S05")

    text = (
        sign_in(LIAISON)
        .post(f"{SITE}/classes/SLUICE-7/sign-up/", {"session": session.pk})
        .content.decode()
    )

    assert f"S05 takes {session.capacity} people" in text
    assert "Choose another session" in text


def test_a_class_whose_staff_is_unchecked_is_refused_with_the_rule(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S05")
    session.signups.all().delete()
    for member in SchoolGroup.objects.get(code="SLUICE-7").staff.all():
        member.checks.all().delete()

    text = (
        sign_in(LIAISON)
        .post(f"{SITE}/classes/SLUICE-7/sign-up/", {"session": session.pk})
        .content.decode()
    )

    assert "Not signed up" in text
    assert "#SUP-" in text
    assert not SignUp.objects.filter(session=session).exists()


def test_a_session_that_is_over_or_unknown_is_no_choice(sign_in: SignIn) -> None:
    address = f"{SITE}/classes/SLUICE-7/sign-up/"

    answer = sign_in(LIAISON).post(address, {"session": 999_999})

    assert answer.status_code == HTTPStatus.NOT_FOUND


def test_a_mixed_class_of_27_is_answered_in_full(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S05")
    session.signups.all().delete()
    mixed = {
        "session": session.pk,
        "staff": 3,
        "checked_staff": 2,
        "helpers": 2,
        "checked_helpers": 0,
        "age_7": 7,
        "age_9": 9,
        "age_14": 11,
    }

    text = unescape(sign_in(LIAISON).get(CHECK, mixed).content.decode())

    # NSPCC Learning 2023: 7/6 + 9/8 + 11/10 = 3.39, rounded up 4; 27/6 = 4.5, rounded up 5.
    assert "7/6 + 9/8 + 11/10" in text
    assert "27/6 = 4.5" in text
    assert "NSPCC-2023 version 1, SITE-1 version 1" in text
    assert "What to change" in text
    assert "Who counts" in text
    assert "Helpers of the class" in text
    assert "What stands in the way" in text
    assert "Which sessions suit" in text
    assert "legal minimum" not in text.lower()


def test_no_volunteer_is_named_to_a_liaison(sign_in: SignIn) -> None:
    session = Session.objects.get(code="S05")
    names = {
        signup.person.first_name
        for signup in session.signups.filter(person__isnull=False).select_related("person")
    }
    assert len(names) > 10

    text = unescape(sign_in(LIAISON).get(CHECK, numbers(staff=1, checked_staff=0)).content.decode())

    assert {name for name in names if f" {name} " in text or f" {name}," in text} == set()


def test_the_statement_is_sent_on_both_papers_for_ones_own_class_only(sign_in: SignIn) -> None:
    for paper in ("a4", "letter"):
        address = f"{SITE}/classes/SLUICE-7/statement-{paper}.pdf"
        answer = sign_in(LIAISON).get(address, numbers())
        assert answer.headers["Content-Type"] == "application/pdf"
        text = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
        assert "Supervision statement: Class 7, Sluice School" in " ".join(text.split())
        assert "no legal advice" in " ".join(text.split())
        assert sign_in(OTHER_LIAISON).get(address, numbers()).status_code == HTTPStatus.NOT_FOUND
        assert sign_in(COORDINATOR).get(address, numbers()).status_code == HTTPStatus.NOT_FOUND

    client = sign_in(LIAISON)
    base = f"{SITE}/classes/SLUICE-7/statement"
    assert client.get(f"{base}-a3.pdf", numbers()).status_code == HTTPStatus.NOT_FOUND
    assert client.get(f"{base}-a4.pdf").status_code == HTTPStatus.NOT_FOUND


def test_a_schools_own_set_asks_on_top_of_the_sites(sign_in: SignIn) -> None:
    from scheduling.models import RuleSetVersion
    from scheduling.services.rule_sets import adopt_rule_set

    group = SchoolGroup.objects.get(code="SLUICE-7")
    board = RuleSetVersion.objects.get(code="LESTER-B-PEARSON")
    adopt_rule_set(
        site_id=group.site_id,
        version_id=board.pk,
        by=group.liaison_id,
        on=NOW.date(),
        group_id=group.pk,
    )

    text = unescape(sign_in(LIAISON).get(CHECK, numbers()).content.decode())

    # Lester B. Pearson School Board, field trips: open venue 1 to 10; 22 pupils ask for 3.
    assert "LESTER-B-PEARSON version 1 (declared by Sluice School, Ellemarre)" in text
    assert "22/10 = 2.2" in text
