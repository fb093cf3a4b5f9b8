"""Who has carried how much, and what the season decided: for coordinators and leads, of adults."""

import re
from http import HTTPStatus

import pytest

from orchard.models import Task
from scheduling.models import Person, Roster, RosterPlace, Session
from scheduling.services.rosters import propose_roster
from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    NOW,
    S02,
    SEASON,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

SEASON_PAGE, PAGE = f"{SEASON}/shares/", f"{S02}/roster/shares/"


def publish_first_session(rows: dict[str, str], work: tuple[str, str]) -> None:
    """Publish S01: by person, a letter for each round, h and l for the two tasks."""
    session = Session.objects.get(code="S01")
    roster = Roster.objects.create(
        session=session, version=1, state="published", status="good", value={}, bound={},
        seconds=0.1, seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    tasks = dict(zip("hl", (Task.objects.get(key=key) for key in work), strict=True))
    for code, row in rows.items():
        for round_, letter in enumerate(row):
            if letter in tasks:
                RosterPlace.objects.create(
                    roster=roster, person=Person.objects.get(code=code), round=round_,
                    task=tasks[letter],
                )  # fmt: skip


@pytest.fixture
def work(small_day: Session) -> tuple[str, str]:
    """A heavy task and a light one, by key."""
    tasks = sorted(Task.objects.all(), key=lambda task: task.pk)
    heavy = next(task for task in tasks if task.content["heavy"])
    light = next(task for task in tasks if not task.content["heavy"])
    return heavy.key, light.key


@pytest.fixture
def carried(small_day: Session, work: tuple[str, str]) -> Session:
    """S02 after a session in which P01 did the heavy work, P02 weeded, and a child came too."""
    child = Person.objects.filter(guardian__isnull=False).order_by("pk").first()
    assert child is not None
    publish_first_session({"P01": "hhhh", "P02": "llll", "P03": "llll", child.code: "ll--"}, work)
    return small_day


def cells_of(text: str, name: str) -> list[str]:
    """Return the cells of a person's row."""
    row = next(part for part in text.split("<tr>") if f">{name}</th>" in part)
    return [cell.split(">", 1)[1].split("</td>")[0] for cell in row.split("<td")[1:]]


def test_before_any_roster_is_published_nobody_carried_anything(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)

    assert "No roster of this season is published yet" in client.get(SEASON_PAGE).content.decode()
    text = client.get(PAGE).content.decode()
    assert "There is no roster yet" in text
    assert "the day decides alone" in text


def test_a_seasons_ledger_names_adults_with_their_counts(sign_in: SignIn, carried: Session) -> None:
    """Four heavy of twelve rounds of adults, so an even share of four is one."""
    text = sign_in(COORDINATOR).get(SEASON_PAGE).content.decode()

    person = Person.objects.get(code="P01")
    cells = cells_of(text, str(person))
    assert cells[:3] == ["1", "4", "4 (1)"]
    assert "lighter work" in cells[-1]
    other = cells_of(text, str(Person.objects.get(code="P02")))
    assert other[2] == "0 (1)"
    assert "1 session with a published roster" in text


def test_no_young_person_is_listed(sign_in: SignIn, carried: Session) -> None:
    child = Person.objects.filter(guardian__isnull=False).order_by("pk").first()
    assert child is not None
    for path in (SEASON_PAGE, PAGE):
        text = sign_in(LEAD).get(path).content.decode()
        assert child.first_name not in text
    text = sign_in(LEAD).get(SEASON_PAGE).content.decode()
    assert "1 young person had places too" in text


def test_a_roster_says_who_learns_and_what_the_season_leans_to(
    sign_in: SignIn, carried: Session
) -> None:
    Person.objects.filter(code="P03").update(experience=0)
    propose_roster(session_id=carried.pk, by=None, at=NOW)
    client = sign_in(COORDINATOR)
    assert PAGE in client.get(f"{S02}/roster/").content.decode()

    text = client.get(PAGE).content.decode()

    assert "Nobody is at work that teaches a skill they wish to learn" in text
    assert "Adults who come, their rounds of the season before this session" in text
    assert re.search(r"Comfort: -?\d+ points? with the season, -?\d+ by the day alone", text)
    assert "lighter work" in cells_of(text, "Ilse V.")[-1]


def test_a_wish_to_learn_that_is_met_is_told_with_who_teaches(
    sign_in: SignIn, small_day: Session
) -> None:
    task = Task.objects.get(planned_work__session=small_day)
    content = dict(task.content)
    content["skills"] = [{"skill": "lead", "count": 1}]
    Task.objects.filter(pk=task.pk).update(content=content, content_digest="taught")
    Person.objects.filter(code="P03").update(wished_skills=["lead"])
    Person.objects.get(code="P03").skills.filter(skill="lead").delete()
    propose_roster(session_id=small_day.pk, by=None, at=NOW)

    text = sign_in(LEAD).get(PAGE).content.decode()

    assert "learns lead with" in text


def test_season_and_roster_pages_lead_there(sign_in: SignIn, carried: Session) -> None:
    propose_roster(session_id=carried.pk, by=None, at=NOW)
    for who in (COORDINATOR, LEAD):
        client = sign_in(who)
        assert SEASON_PAGE in client.get(f"{SEASON}/").content.decode()
        assert PAGE in client.get(f"{S02}/roster/").content.decode()


@pytest.mark.parametrize("path", [SEASON_PAGE, PAGE])
def test_coordinators_and_leads_alone_may_look(
    sign_in: SignIn, carried: Session, path: str
) -> None:
    for who in (COORDINATOR, LEAD):
        assert sign_in(who).get(path).status_code == HTTPStatus.OK
        assert sign_in(who).post(path).status_code == HTTPStatus.METHOD_NOT_ALLOWED
    for who in (VOLUNTEER, GUARDIAN, LIAISON, STRANGER):
        assert sign_in(who).get(path).status_code == HTTPStatus.NOT_FOUND
