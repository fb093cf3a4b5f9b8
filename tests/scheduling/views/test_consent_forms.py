"""The consent form written on its page: seen first, published as a version, asked anew or not."""

from datetime import timedelta
from html import unescape
from io import BytesIO

import pytest
from django.test import Client
from pypdf import PdfReader

from orchard.models import Site
from scheduling.domain.consent_form import USUAL_PARTS
from scheduling.domain.errors import ConsentFormUnfit
from scheduling.models import ConsentForm, ConsentRecord, Message, Person, Session, SignUp
from scheduling.queries.consents import load_versions_that_hold
from scheduling.services.consent_forms import FormDraft, publish_form, tidy_parts
from tests.signed_in import COORDINATOR, GUARDIAN, NOW, SITE, VOLUNTEER, SignIn

FORM = f"{SITE}/consent-form/"
WRITE = f"{FORM}write/"
TODAY = NOW.date()
RISKS = "Blisters, stings, and from this year on a pond with steep banks."
MINH, LAN = "P41", "P53"  # fixtures/people.csv: the guardian's own


def site() -> Site:
    return Site.objects.get(slug=SITE[1:])


def words(**more: str) -> dict[str, str]:
    """Return the form in use as its page would send it, with other words."""
    said = {part.key: part.words for part in USUAL_PARTS}
    follows = {"follows": site().consent_version, "because": "A pond was dug.", "asked": "anew"}
    return {**said, **follows, **more}


def read(client: Client, address: str) -> str:
    return unescape(client.get(address).content.decode())


def post(client: Client, what: str, **more: str) -> str:
    answer = client.post(WRITE, {**words(**more), "what": what}, follow=True)
    return unescape(answer.content.decode())


def has_consent(code: str) -> bool:
    person = Person.objects.get(code=code)
    holding = load_versions_that_hold(person.site_id)
    return person.consents.filter(
        version__in=holding, first_day__lte=TODAY, last_day__gte=TODAY
    ).exists()


def let_sign(version: str) -> None:
    for code in (MINH, LAN):
        person = Person.objects.get(code=code)
        person.consents.all().delete()
        ConsentRecord.objects.create(
            person=person, version=version, signed_by=person.guardian,
            first_day=TODAY, last_day=TODAY + timedelta(days=200),
        )  # fmt: skip


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    let_sign(site().consent_version)
    return sign_in(COORDINATOR)


def test_it_starts_from_the_words_in_use_and_has_every_part(client: Client) -> None:
    """Issue 6, point 3: dates, tasks and tools, risks, supervision, travel, first aid,
    photographs apart, data."""
    page = read(client, WRITE)

    for part in USUAL_PARTS:
        assert part.heading in page
        assert part.words in page
    assert {part.key for part in USUAL_PARTS} == {
        "when", "work", "risks", "supervision", "travel", "first_aid", "photographs", "data",
    }  # fmt: skip


def test_a_preview_tells_whose_consents_end_and_keeps_nothing(client: Client) -> None:
    session = Session.objects.get(code="S05")
    person = Person.objects.get(code=MINH)
    SignUp.objects.update_or_create(
        session=session, person=person, defaults={"state": "confirmed", "at": NOW}
    )

    seen = post(client, "look", risks=RISKS)

    assert RISKS in seen
    assert "Other words than version 2027-1: What can go wrong." in seen
    assert "end with the publishing" in seen
    assert f"<bdi>{person}</bdi>: " in seen
    assert "S05" in seen
    assert not ConsentForm.objects.exists()
    assert site().consent_version == "2027-1"
    stand = post(client, "look", risks=RISKS, asked="stand")
    assert "hold as long as they say" in stand
    assert "Nobody is written to" in stand


def test_asking_anew_ends_what_was_signed_and_writes_to_each_guardian_once(client: Client) -> None:
    before = Message.objects.count()

    answer = post(client, "publish", risks=RISKS)

    assert "asked by mail to sign it" in answer
    assert "Version 2027-1.2 is in use" in answer
    assert not has_consent(MINH)
    letters = Message.objects.filter(to=GUARDIAN, subject__startswith="A new consent form")
    (letter,) = letters
    assert "A pond was dug." in letter.text
    assert "Minh" in letter.text
    assert "Lan" in letter.text
    assert Message.objects.count() - before == len(
        set(Message.objects.filter(subject=letter.subject).values_list("to", flat=True))
    )


def test_letting_stand_keeps_them_for_as_long_as_they_say_and_no_longer(client: Client) -> None:
    answer = post(client, "publish", risks=RISKS, asked="stand")

    assert "What was signed stands as long as it says." in answer
    assert has_consent(MINH)
    assert not Message.objects.filter(subject__startswith="A new consent form").exists()
    post(client, "publish", risks="Others.", follows="2027-1.2", asked="stand")
    assert has_consent(MINH), "two versions back, and nobody was asked since"
    post(client, "publish", risks="Others still.", follows="2027-1.3", asked="anew")
    assert not has_consent(MINH)
    assert load_versions_that_hold(site().pk) == ("2027-1.4",)


def test_the_rules_of_the_day_say_the_same_as_the_pages(client: Client, sign_in: SignIn) -> None:
    """The roster's problem, the guardian's page and the coordinator's list judge alike."""
    from scheduling.domain.rules.consent_on_file import ConsentOnFile
    from scheduling.queries.problems import load_roster_problem

    person = Person.objects.get(code=MINH)
    session = Session.objects.get(code="S05")

    def refused() -> bool:
        problem = load_roster_problem(session.pk, also_people=[person.pk])
        return any(person.pk in c.people for c in ConsentOnFile().conditions(problem))

    own = f"{SITE}/my-people/{person.pk}/"
    ConsentRecord.objects.filter(person=person).update(last_day=session.starts_at.date())
    guardian = sign_in(GUARDIAN)
    for asked, holds in (("stand", True), ("anew", False)):
        post(client, "publish", risks=f"Words {asked}.", asked=asked)
        assert refused() is not holds
        assert ("a consent holds today" in read(guardian, own)) is holds
        row = read(client, f"{SITE}/people/{person.pk}/")
        assert ("holds today" in row) is holds


def test_no_version_is_ever_edited_and_each_stays_readable(client: Client, sign_in: SignIn) -> None:
    post(client, "publish", risks=RISKS)
    first = ConsentForm.objects.get(version="2027-1")
    post(client, "publish", risks="Others.", follows="2027-1.2", because="Plainer words.")

    assert ConsentForm.objects.get(pk=first.pk).parts == first.parts
    volunteer = sign_in(VOLUNTEER)
    assert RISKS in read(volunteer, f"{FORM}versions/2027-1.2/")
    assert "replaced" in read(volunteer, f"{FORM}versions/2027-1.2/")
    assert client.get(f"{FORM}versions/2026-7/").status_code == 404
    history = read(client, FORM)
    assert [word in history for word in ("Plainer words.", "A pond was dug.")] == [True, True]
    assert history.index("Plainer words.") < history.index("A pond was dug.")


def test_the_same_words_make_no_version_and_pressing_twice_is_once(client: Client) -> None:
    assert "version 2027-1 stays in use" in post(client, "publish")
    post(client, "publish", risks=RISKS)
    again = post(client, "publish", risks=RISKS)

    assert "Nothing had changed: version 2027-1.2" in again or "while you were writing" in again
    assert ConsentForm.objects.count() == 2


def test_who_writes_over_somebody_elses_version_is_told(client: Client) -> None:
    post(client, "publish", risks=RISKS)

    late = post(client, "publish", travel="By bus.", follows="2027-1")

    assert "Somebody else published version 2027-1.2 while you were writing" in late
    assert "By bus." in late
    assert site().consent_version == "2027-1.2"


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"risks": ""}, "What can go wrong: This field is required."),
        ({"because": ""}, "What is new, in a sentence guardians understand: This field"),
        ({"risks": "x" * 2001}, "at most 2000 characters"),
        ({"asked": "whatever"}, "Select a valid choice"),
    ],
)
def test_what_is_missing_is_said_and_nothing_published(
    client: Client, more: dict[str, str], told: str
) -> None:
    page = post(client, "publish", **({"risks": RISKS} | more))

    assert told in page
    assert not ConsentForm.objects.exists()


def test_the_service_refuses_what_the_page_would(client: Client) -> None:
    parts = tidy_parts(site().pk, words(risks=RISKS))
    for draft in (
        FormDraft("2027-1", parts[:-1], "Because.", asks_anew=True),
        FormDraft("2027-1", parts, "  ", asks_anew=True),
        FormDraft("2026-1", parts, "Because.", asks_anew=True),
    ):
        with pytest.raises(ConsentFormUnfit):
            publish_form(site_id=site().pk, draft=draft, by="Ada", at=NOW, on=TODAY)


@pytest.mark.parametrize(("paper", "size_pt"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_the_paper_holds_every_word_and_places_to_sign(
    client: Client, paper: str, size_pt: tuple[int, int]
) -> None:
    """A4 is 210 by 297 mm (ISO 216), Letter 8.5 by 11 inches; a point is 1/72 inch."""
    draft = client.post(WRITE, {**words(risks=RISKS), "what": f"paper-{paper}"})
    in_use = client.get(f"{FORM}paper-{paper}.pdf")

    for answer, is_draft in ((draft, True), (in_use, False)):
        pages = PdfReader(BytesIO(answer.content)).pages
        text = " ".join(" ".join(page.extract_text() for page in pages).split())
        assert tuple(round(float(side)) for side in pages[0].mediabox[2:]) == size_pt
        risks = RISKS if is_draft else next(p.words for p in USUAL_PARTS if p.key == "risks")
        assert " ".join(risks.split()) in text
        for label in ("Signature and date", "Holds until", "Photographs", "Seen and recorded by"):
            assert label in text
        assert ("not to be signed" in text) is is_draft
    assert client.get(f"{FORM}paper-a5.pdf").status_code == 404


def test_words_of_any_kind_survive_to_page_and_paper(client: Client) -> None:
    odd = "=1+1 <b>“O’Neill”</b>\r\n\r\nשלום 🌳 & more"
    post(client, "publish", risks=odd)

    page = client.get(FORM).content.decode()
    assert "&lt;b&gt;“O’Neill”&lt;/b&gt;" in page
    assert "שלום 🌳 &amp; more" in page
    pages = PdfReader(BytesIO(client.get(f"{FORM}paper-a4.pdf").content)).pages
    text = " ".join(page.extract_text() for page in pages)
    assert "=1+1 <b>“O’Neill”</b>" in text
    assert "שלום" in text or "שלום"[::-1] in text
