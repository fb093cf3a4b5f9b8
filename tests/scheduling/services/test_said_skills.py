"""What people say they can do is their word: shown, signed off or dropped, and no rule reads it."""

import json
from datetime import timedelta

import pytest

from orchard.models import Site
from scheduling.domain.errors import PersonRefused
from scheduling.models import Person, SaidSkill, Session, SignUp, SkillRecord
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.said_skills import load_said, load_said_lines, load_skills_to_say
from scheduling.queries.signups import load_attendance
from scheduling.services.erasure import erase_person
from scheduling.services.own_data import write_own_data
from scheduling.services.said_skills import (
    USUAL_DAYS,
    drop_said,
    keep_said_skills,
    sign_off_said,
)
from tests.signed_in import NOW

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")

ON = NOW.date()


@pytest.fixture
def site(db: None) -> Site:
    return Site.objects.get(slug="traverser-yard")


def person(code: str) -> Person:
    return Person.objects.get(code=code)


def skill_to_say(code: str) -> str:
    choices = [one for one in load_skills_to_say(person(code).pk, on=ON) if one != "lead"]
    assert "first_aid" in choices
    return next(one for one in choices if one != "first_aid")


def say(site: Site, code: str, *skills: str, by: str | None = None) -> None:
    account = person(by or code).user_id
    keep_said_skills(
        user_id=account, site_id=site.pk, person_id=person(code).pk, skills=skills, on=ON, at=NOW
    )


def sign(site: Site, code: str, skill: str, by: str = "P01", *, coordinator: bool = True) -> bool:
    return sign_off_said(
        person_id=person(code).pk, skill=skill, site_id=site.pk, user_id=person(by).user_id,
        is_coordinator=coordinator, by=str(person(by)), on=ON,
    )  # fmt: skip


def test_what_is_said_satisfies_no_rule(site: Site) -> None:
    session = Session.objects.get(code="S02")
    SignUp.objects.get_or_create(
        session=session, person=person("P06"), defaults={"state": "confirmed", "at": NOW}
    )
    before = load_roster_problem(session.pk)

    say(site, "P06", "first_aid", skill_to_say("P06"))

    assert load_roster_problem(session.pk) == before
    assert not SkillRecord.objects.filter(person=person("P06"), skill="first_aid").exists()
    (shown,) = (p for p in load_attendance(session.pk).people if p.id == person("P06").pk)
    assert "first_aid" in shown.says
    assert "first_aid" not in shown.skills


def test_saying_is_kept_once_and_what_is_left_out_is_dropped(site: Site) -> None:
    skill = skill_to_say("P06")
    for _ in range(2):
        say(site, "P06", skill, "first_aid")
    assert load_said(person("P06").pk) == tuple(sorted(("first_aid", skill)))

    say(site, "P06", skill)

    assert load_said(person("P06").pk) == (skill,)


def test_one_press_signs_off_for_a_year_by_name(site: Site) -> None:
    skill = skill_to_say("P06")
    say(site, "P06", skill)

    assert [sign(site, "P06", skill), sign(site, "P06", skill)] == [True, False]

    record = SkillRecord.objects.get(person=person("P06"), skill=skill)
    assert record.signed_off_by == str(person("P01"))
    assert record.last_day == ON + timedelta(days=USUAL_DAYS)
    assert not SaidSkill.objects.exists()
    assert skill not in load_skills_to_say(person("P06").pk, on=ON)


def test_dropping_signs_nothing_off(site: Site) -> None:
    skill = skill_to_say("P06")
    say(site, "P06", skill)
    dropped = {"person_id": person("P06").pk, "skill": skill, "site_id": site.pk}

    assert [drop_said(**dropped), drop_said(**dropped)] == [True, False]
    assert not SkillRecord.objects.filter(person=person("P06"), skill=skill).exists()


def test_nobody_signs_off_their_own_word_nor_their_childs(site: Site) -> None:
    guardian, child = person("P02"), person("P53")
    assert child.guardian == guardian
    skill = skill_to_say("P53")
    say(site, "P53", skill, by="P02")
    with pytest.raises(PersonRefused, match="Nobody signs off"):
        sign(site, "P53", skill, by="P02")
    say(site, "P06", skill_to_say("P06"))
    with pytest.raises(PersonRefused, match="Nobody signs off"):
        sign(site, "P06", skill_to_say("P06"), by="P06")


def test_first_aid_is_signed_off_by_a_coordinator_not_by_a_lead(site: Site) -> None:
    say(site, "P06", "first_aid")
    with pytest.raises(PersonRefused, match="coordinator"):
        sign(site, "P06", "first_aid", by="P03", coordinator=False)
    assert sign(site, "P06", "first_aid")


def test_a_child_is_not_asked_whether_they_lead(site: Site) -> None:
    assert "lead" not in load_skills_to_say(person("P53").pk, on=ON)
    with pytest.raises(PersonRefused, match="no skill to say"):
        say(site, "P53", "lead", by="P02")


def test_a_skill_the_site_does_not_use_is_refused(site: Site) -> None:
    with pytest.raises(PersonRefused, match="no skill to say"):
        say(site, "P06", "juggling")
    with pytest.raises(Person.DoesNotExist):
        say(site, "P06", "first_aid", by="P02")


def test_a_lead_sees_those_who_come_and_a_coordinator_all(site: Site) -> None:
    skill = skill_to_say("P06")
    say(site, "P06", skill)
    asked = {"user_id": person("P03").user_id, "at": NOW, "on": ON}
    SignUp.objects.filter(person=person("P06")).delete()
    assert load_said_lines(site.pk, is_coordinator=False, **asked) == ()
    assert len(load_said_lines(site.pk, is_coordinator=True, **asked)) == 1

    SignUp.objects.create(
        session=Session.objects.get(code="S02"), person=person("P06"), state="confirmed", at=NOW
    )

    (line,) = load_said_lines(site.pk, is_coordinator=False, **asked)
    assert (line.person_id, line.skill, line.may_sign) == (person("P06").pk, skill, True)


def test_it_is_in_ones_own_data_and_erased_with_it(site: Site) -> None:
    skill = skill_to_say("P06")
    say(site, "P06", skill)
    held = json.loads(write_own_data(person("P06").pk, at=NOW))
    assert [row["skill"] for row in held["held"]["scheduling.SaidSkill"]] == [skill]
    assert any(each["where"] == "scheduling.SaidSkill" for each in held["purposes"])

    SignUp.objects.filter(person=person("P06")).delete()
    erase_person(person_id=person("P06").pk, asked_by="themselves", at=NOW)

    assert not SaidSkill.objects.exists()
