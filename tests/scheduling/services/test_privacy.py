"""No paper, no calendar entry and no page of somebody else tells a young person's family name,
birth or restrictions: the values they are made from do not hold them."""

import re
from io import BytesIO
from pathlib import Path

import pytest
import vobject
from pypdf import PdfReader

from orchard.models import Task
from scheduling.domain.people import ADULT_AGE, Restriction, age_on
from scheduling.models import Person, Roster, RosterPlace, Session, SignUp
from scheduling.services.papers import WrittenPapers, write_papers
from tests.signed_in import (  # noqa: F401 (the fixtures)
    LIAISON,
    NOW,
    SEASON,
    SITE,
    VOLUNTEER,
    SignIn,
    season_of_the_file,
    sign_in,
)

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

FAMILIES, CLASS = "S01", "S04"


def young_people() -> list[Person]:
    return [
        person
        for person in Person.objects.order_by("code")
        if age_on(person.birth_year, person.birth_month, NOW.date()) < ADULT_AGE
    ]


def told_in(text: str) -> list[str]:
    """Return the family names of young people that stand in a text as words of their own."""
    names = {person.family_name for person in young_people()}
    assert len(names) > 10
    return sorted(name for name in names if re.search(rf"\b{re.escape(name)}\b", text, re.I))


def written(code: str, folder: Path) -> WrittenPapers:
    """The papers of a draft in which everybody confirmed is at one task in the first round."""
    session = Session.objects.get(code=code)
    roster = Roster.objects.create(
        session=session, version=1, status="good", value={}, bound={}, seconds=0.1,
        seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    task = Task.objects.get(key="RNG-A-1")
    for row in SignUp.objects.filter(session=session, state=SignUp.State.CONFIRMED, group=None):
        RosterPlace.objects.create(roster=roster, person=row.person, round=0, task=task)
    return write_papers(roster_id=roster.pk, folder=folder)


@pytest.mark.parametrize("code", [FAMILIES, CLASS])
def test_the_day_pack_tells_no_young_persons_family_name(code: str, tmp_path: Path) -> None:
    for path in written(code, tmp_path).day_packs:
        pages = PdfReader(BytesIO(path.read_bytes())).pages
        text = "\n".join(page.extract_text() for page in pages)
        coming = SignUp.objects.filter(session__code=code, person__in=young_people())
        assert bool(coming) == (code == FAMILIES)
        assert all(row.person.first_name in text for row in coming)
        assert told_in(text) == []
        assert not [words for words in Restriction if f"\n{words}\n" in text]


@pytest.mark.parametrize("code", [FAMILIES, CLASS])
def test_no_invite_tells_a_young_persons_family_name(code: str, tmp_path: Path) -> None:
    """Only the reader's own address may hold one, since addresses are as their owners made them."""
    papers = written(code, tmp_path)
    assert len(papers.invites) > 10
    for path in (*papers.invites, papers.session_file):
        entry = vobject.readOne(path.read_text(encoding="utf-8")).vevent
        text = entry.serialize(validate=False).replace("\r\n ", "")
        for address in re.findall(r"mailto:([^\r\n]+)", text, re.I):
            text = text.replace(address, "")
        assert told_in(text) == []
        assert not [words for words in Restriction if words in text.casefold()]


@pytest.mark.parametrize("email", [VOLUNTEER, LIAISON])
def test_no_page_of_somebody_else_tells_one(email: str, sign_in: SignIn) -> None:  # noqa: F811
    client = sign_in(email)
    pages = [f"{SITE}/sessions/", f"{SITE}/my-sessions/", f"{SITE}/classes/", f"{SITE}/rule-book/"]
    pages += [f"{SEASON}/sessions/{code}/" for code in (FAMILIES, CLASS)]
    seen = 0
    for page in pages:
        answer = client.get(page, follow=True)
        seen += answer.status_code == 200
        assert told_in(answer.content.decode()) == []
    assert seen >= 4


def test_a_refused_sign_up_names_no_stranger(sign_in: SignIn) -> None:  # noqa: F811
    """S01 with no adult left and only other families' children: it tells how many, not who."""
    session = Session.objects.get(code=FAMILIES)
    adults = Person.objects.exclude(pk__in=[person.pk for person in young_people()])
    SignUp.objects.filter(session=session, person__in=adults).update(state=SignUp.State.WITHDRAWN)
    guardian = "yasemin.karadogan@example.org"
    own = Person.objects.filter(guardian__user__email=guardian)
    SignUp.objects.filter(session=session, person__in=own).update(state=SignUp.State.WITHDRAWN)

    answer = sign_in(guardian).post(
        f"{SEASON}/sessions/{FAMILIES}/sign-up/",
        {"people": [own.get(first_name="Deniz").pk]},
        follow=True,
    )

    text = answer.content.decode()
    others = [p for p in young_people() if p.family_name != "Karadoğan"]
    assert "Deniz" in text
    assert set(told_in(text)) <= {"Karadoğan"}
    assert [p.first_name for p in others if re.search(rf"\b{p.first_name}\b", text)] == []
