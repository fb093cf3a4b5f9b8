"""The coordinator's session page: propose, read, publish, print."""

from http import HTTPStatus
from io import BytesIO

import pytest
from pypdf import PdfReader

from scheduling.domain.judgement import judge_roster
from scheduling.domain.problem import RosterProblem
from scheduling.domain.roster import Roster as DayRoster
from scheduling.domain.rule import Finding
from scheduling.models import (
    Message,
    Person,
    Roster,
    SearchRun,
    Session,
    SignUp,
)
from scheduling.services.rosters import propose_roster
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, SignIn


def test_a_proposed_roster_is_a_draft_shown_by_round_and_crew(
    sign_in: SignIn, small_day: Session
) -> None:
    text = sign_in(COORDINATOR).post(f"{S02}/roster/propose/", follow=True).content.decode()

    assert "draft roster</span>, version 1" in text
    assert "Round 1, 09:50 to 10:20" in text
    assert "Weed" in text
    assert "None of them keeps it from being published." in text
    assert "Publish and send invites" in text
    assert Roster.objects.get(session=small_day).state == Roster.State.DRAFT


def test_publishing_twice_invites_once(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")
    which = {"roster": Roster.objects.get(session=small_day).pk}

    first = client.post(f"{S02}/roster/publish/", which, follow=True).content.decode()
    mails = Message.objects.count()
    client.post(f"{S02}/roster/publish/", which)

    assert "Version 1 is published: 5 invites to send" in first
    assert "published roster</span>, version 1" in first
    assert Message.objects.count() == mails == 5


def test_an_older_roster_than_the_newest_is_not_published_unseen(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")
    seen = Roster.objects.get(session=small_day).pk
    client.post(f"{S02}/roster/propose/")

    text = client.post(f"{S02}/roster/publish/", {"roster": seen}, follow=True).content.decode()

    assert "Nothing was published: a newer roster was made meanwhile." in text
    assert not Roster.objects.filter(state=Roster.State.PUBLISHED).exists()


def test_work_that_stays_undone_is_shown_with_its_reason(
    sign_in: SignIn, small_day: Session
) -> None:
    # Without anyone whose sign-off as a crew lead is in date no crew may work (LED-1).
    for person in Person.objects.filter(signups__session=small_day):
        person.skills.filter(skill="lead").delete()

    text = sign_in(COORDINATOR).post(f"{S02}/roster/propose/", follow=True).content.decode()

    assert "Why some places stay unfilled" in text
    assert "left undone" in text


def test_a_proven_impossible_day_says_what_stands_in_the_way(
    sign_in: SignIn, small_day: Session
) -> None:
    SearchRun.objects.create(
        site=small_day.season.site, kind="roster", session=small_day, state="ended", seconds=8,
        seed=1, requested_at=NOW, status="impossible", found_seconds=0.1,
        messages=["Ana is fixed at coring, and Ana is 9 years old."],
    )  # fmt: skip

    text = sign_in(COORDINATOR).get(f"{S02}/roster/").content.decode()

    assert "impossible</span> – no roster obeys all rules" in text
    assert "Ana is fixed at coring, and Ana is 9 years old." in text
    assert "no roster yet" in text


def test_nobody_signed_up_is_answered_with_a_sentence(sign_in: SignIn, small_day: Session) -> None:
    SignUp.objects.filter(session=small_day).delete()

    text = sign_in(COORDINATOR).post(f"{S02}/roster/propose/", follow=True).content.decode()

    assert "No roster was proposed. Nobody is signed up for S02." in text
    assert "no roster yet" in text


def test_a_broken_rule_is_shown_and_keeps_the_roster_from_being_published(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")
    for person in Person.objects.filter(signups__session=small_day):
        person.skills.filter(skill="lead").delete()

    page = client.get(f"{S02}/roster/").content.decode()
    which = {"roster": Roster.objects.get(session=small_day).pk}
    answer = client.post(f"{S02}/roster/publish/", which, follow=True).content.decode()

    assert "#LED-1" in page
    assert "The roster cannot be published like this." in page
    assert "Publish and send invites" not in page
    assert "Nothing was published." in answer
    assert Roster.objects.get(session=small_day).state == Roster.State.DRAFT


def test_a_session_lead_reads_the_roster_but_finds_no_button(
    sign_in: SignIn, small_day: Session
) -> None:
    sign_in(COORDINATOR).post(f"{S02}/roster/propose/")

    text = sign_in(LEAD).get(f"{S02}/roster/").content.decode()

    assert "Round 1" in text
    assert "Publish and send invites" not in text
    assert "Propose" not in text


# ISO 216: A4 is 210 by 297 mm; US Letter is 8.5 by 11 inches. 72 points to the inch.
@pytest.mark.parametrize(("paper", "width_pt"), [("a4", 210 / 25.4 * 72), ("letter", 8.5 * 72)])
def test_the_day_pack_comes_on_the_paper_asked_for(
    sign_in: SignIn, small_day: Session, paper: str, width_pt: float
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")

    answer = client.get(f"{S02}/day-pack-{paper}.pdf")

    first = PdfReader(BytesIO(answer.content)).pages[0]
    assert answer.headers["Content-Type"] == "application/pdf"
    assert float(first.mediabox.width) == pytest.approx(width_pt, abs=0.5)
    assert "Second March Saturday" in first.extract_text()


def test_there_is_no_day_pack_without_a_roster_or_on_unknown_paper(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)

    assert client.get(f"{S02}/day-pack-a4.pdf").status_code == HTTPStatus.NOT_FOUND
    client.post(f"{S02}/roster/propose/")
    assert client.get(f"{S02}/day-pack-a3.pdf").status_code == HTTPStatus.NOT_FOUND


def test_those_on_the_published_roster_read_their_own_rounds_and_nobody_elses(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{S02}/roster/propose/")
    draft = client.get(f"{S02}/").content.decode()
    client.post(f"{S02}/roster/publish/", {"roster": Roster.objects.get(session=small_day).pk})

    published = client.get(f"{S02}/").content.decode()

    assert 'id="program"' not in draft
    assert "<h3>Ilse V.</h3>" in published
    assert "Round 1, 09:50–10:20" in published
    assert "<h3>Amara O.</h3>" not in published


def test_the_page_says_how_far_a_session_may_be_over_invited(sign_in: SignIn) -> None:
    page = sign_in(COORDINATOR).get(f"{S02}/roster/").content.decode()

    assert "70 % come on average: our estimate" in page
    assert "may be signed up singly before more than 32 people come" in page
    assert "come on average" not in sign_in(LEAD).get(f"{S02}/roster/").content.decode()


def test_what_clears_the_findings_is_looked_for_once_while_the_day_stands(
    sign_in: SignIn, small_day: Session, monkeypatch: pytest.MonkeyPatch
) -> None:
    propose_roster(session_id=small_day.pk, by=None, at=NOW)
    judged: list[int] = []

    def judge(problem: RosterProblem, roster: DayRoster, **how: bool) -> tuple[Finding, ...]:
        judged.append(len(problem.people))
        return judge_roster(problem, roster, **how)

    monkeypatch.setattr("scheduling.queries.rosters.judge_roster", judge)
    monkeypatch.setattr("scheduling.queries.rosters._JUDGED", {})
    client = sign_in(COORDINATOR)

    first = client.get(f"{S02}/roster/").content.decode()
    again = client.get(f"{S02}/roster/").content.decode()
    assert judged == [5]
    assert ("What would clear it" in first) == ("What would clear it" in again)

    lead = Person.objects.filter(signups__session=small_day, skills__skill="lead").first()
    SignUp.objects.filter(session=small_day, person=lead).delete()
    without = client.get(f"{S02}/roster/").content.decode()

    assert judged == [5, 4]
    assert "The roster cannot be published like this." in without
