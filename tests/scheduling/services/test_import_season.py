"""Importing people and sessions: again without change, nothing lost, every problem named."""

import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime
from io import StringIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from django.core.management import CommandError, call_command

from orchard.models import Role, Site, Tree, User
from orchard.services.import_files import ImportRefused
from orchard.services.import_ground import import_ground
from orchard.services.roles import end_role
from scheduling.domain.people import age_on
from scheduling.models import (
    CheckRecord,
    ConsentRecord,
    Person,
    SchoolGroup,
    Session,
    SignUp,
    SkillRecord,
)
from scheduling.services.import_season import import_folder, import_season

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
AT = datetime(2027, 2, 1, 12, tzinfo=UTC)
LATER = datetime(2027, 2, 8, 12, tzinfo=UTC)
AMSTERDAM = ZoneInfo("Europe/Amsterdam")
WEAK = "S07"

Edit = Callable[[str, str, str], None]

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo season that a test may spoil."""
    return Path(shutil.copytree(FIXTURES, tmp_path / "season"))


@pytest.fixture
def edit(folder: Path) -> Edit:
    """Replace words that stand once in a file."""

    def replace_once(name: str, old: str, new: str) -> None:
        path = folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    return replace_once


def refusal(folder: Path) -> tuple[str, ...]:
    """What the import says is wrong; nothing may have been written."""
    with pytest.raises(ImportRefused) as caught:
        import_folder(folder, at=AT)
    assert not Site.objects.exists()
    assert not Person.objects.exists()
    return caught.value.problems


def coming_to(code: str) -> list[Person]:
    return list(
        Person.objects.filter(signups__session__code=code, signups__state="confirmed").order_by(
            "code"
        )
    )


def holders(people: list[Person], skill: str, on: date) -> int:
    return SkillRecord.objects.filter(person__in=people, skill=skill, last_day__gte=on).count()


def day_of(session: Session) -> date:
    return session.starts_at.astimezone(AMSTERDAM).date()


def age_of(person: Person, on: date) -> int:
    return age_on(person.birth_year, person.birth_month, on)


def test_the_demo_season_holds_what_its_readme_promises() -> None:
    import_folder(FIXTURES, at=AT)
    assert Person.objects.count() == 62
    assert Session.objects.count() == 14
    first_day = day_of(Session.objects.get(code="S01"))
    ages = sorted(age_of(person, first_day) for person in Person.objects.all())
    assert (ages[0], ages[-1]) == (7, 78)
    assert sum(age < 12 for age in ages) == 10
    assert sum(12 <= age < 18 for age in ages) == 12
    classes = SchoolGroup.objects.order_by("code")
    assert [sum(c.pupils_by_age.values()) for c in classes] == [18, 22]
    assert [c.staff.count() for c in classes] == [3, 4]
    assert len({c.liaison.email for c in classes}) == 2


def test_a_second_run_changes_nothing() -> None:
    first = import_folder(FIXTURES, at=AT)
    second = import_folder(FIXTURES, at=LATER)
    assert first.created > 600
    assert (second.created, second.changed, second.removed) == (0, 0, 0)
    assert second.unchanged == first.created
    assert set(SignUp.objects.values_list("at", flat=True)) == {AT}


def test_sessions_begin_at_local_time_on_both_sides_of_the_clock_changes() -> None:
    """Summer time in the European Union in 2027: 28 March to 31 October.

    Source: Directive 2000/84/EC, last Sundays of March and October at 01:00 UTC.
    """
    import_folder(FIXTURES, at=AT)
    starts = {session.code: session.starts_at for session in Session.objects.all()}
    assert starts["S02"] == datetime(2027, 3, 20, 8, 30, tzinfo=UTC)
    assert starts["S03"] == datetime(2027, 4, 3, 7, 30, tzinfo=UTC)
    assert starts["S13"] == datetime(2027, 10, 30, 7, 30, tzinfo=UTC)
    assert starts["S14"] == datetime(2027, 11, 13, 9, 0, tzinfo=UTC)
    changes = (date(2027, 3, 28), date(2027, 10, 31))
    assert not any(day_of(session) in changes for session in Session.objects.all())


def test_every_young_person_who_comes_has_a_guardian_and_every_child_comes_with_theirs() -> None:
    import_folder(FIXTURES, at=AT)
    for session in Session.objects.all():
        people = coming_to(session.code)
        for person in people:
            age = age_of(person, day_of(session))
            if age < 18:
                assert person.guardian is not None, person.code
                assert age_of(person.guardian, day_of(session)) >= 18
                assert person.user is None
            if age < 12:
                assert person.guardian in people, (session.code, person.code)


def test_sessions_have_the_people_the_rules_ask_for_but_for_the_weak_one() -> None:
    import_folder(FIXTURES, at=AT)
    for session in Session.objects.exclude(code=WEAK):
        on, people = day_of(session), coming_to(session.code)
        groups = SchoolGroup.objects.filter(signups__session=session)
        staff = list(Person.objects.filter(staff_of__in=groups))
        heads = len(people) + len(staff) + sum(sum(g.pupils_by_age.values()) for g in groups)
        checks = CheckRecord.objects.filter(issued_on__lte=on, last_day__gte=on)
        assert 13 <= len(people) <= 26, session.code
        assert heads <= session.capacity
        assert holders(people, "lead", on) >= 5
        assert holders(people + staff, "first_aid", on) >= -(-heads // 25)
        assert holders(people, "auger", on) >= 3
        assert checks.filter(person__in=people).count() >= 8


def test_the_weak_session_has_no_first_aider_in_date() -> None:
    import_folder(FIXTURES, at=AT)
    on = day_of(Session.objects.get(code=WEAK))
    people = coming_to(WEAK)
    assert len(people) == 9
    assert holders(people, "first_aid", on) == 0
    lapsed = SkillRecord.objects.get(person__in=people, skill="first_aid")
    assert lapsed.last_day < on


def test_some_skills_run_out_between_the_sessions() -> None:
    import_folder(FIXTURES, at=AT)
    days = sorted(day_of(session) for session in Session.objects.all())
    ends = SkillRecord.objects.filter(last_day__gte=days[0], last_day__lt=days[-1])
    assert {"lead", "first_aid", "auger"} <= set(ends.values_list("skill", flat=True))


def test_consents_are_missing_old_late_and_partial_on_purpose() -> None:
    import_folder(FIXTURES, at=AT)
    form = Site.objects.get().consent_version
    consents = {c.person.first_name: c for c in ConsentRecord.objects.select_related("person")}
    young = set(Person.objects.filter(guardian__isnull=False).values_list("first_name", flat=True))
    assert young - set(consents) == {"Kofi"}
    assert [name for name, c in consents.items() if c.version != form] == ["Youssef"]
    assert consents["Salma"].first_day == date(2027, 4, 10)
    assert consents["Ela"].kinds == ["backfill", "water", "weed"]
    assert all(c.signed_by == c.person.guardian for c in consents.values())


def test_there_is_an_account_of_every_kind_and_none_of_a_young_person() -> None:
    import_folder(FIXTURES, at=AT)
    held = set(Role.objects.values_list("user__email", "kind"))
    assert {
        ("coordinator@example.org", "coordinator"),
        ("lead@example.org", "session lead"),
        ("volunteer@example.org", "volunteer"),
        ("guardian@example.org", "guardian"),
        ("liaison@example.org", "school liaison"),
    } <= held
    assert Person.objects.filter(guardian__user__email="guardian@example.org").count() == 2
    assert {kind for email, kind in held if email == "volunteer@example.org"} == {"volunteer"}
    assert all(user.email.endswith("@example.org") for user in User.objects.all())
    assert not Person.objects.filter(guardian__isnull=False, user__isnull=False).exists()


def test_no_birth_date_and_no_pupil_stands_in_the_files() -> None:
    """people-and-safety 10.6 to 10.8: month and year at most; classes as counts by age."""
    heads = (FIXTURES / "people.csv").read_text(encoding="utf-8").splitlines()[0].split(",")
    assert [head for head in heads if "birth" in head] == ["birth_year", "birth_month"]
    import_folder(FIXTURES, at=AT)
    for group in SchoolGroup.objects.all():
        assert all(isinstance(count, int) for count in group.pupils_by_age.values())


def test_an_edited_row_changes_one_person(folder: Path, edit: Edit) -> None:
    import_folder(folder, at=AT)
    edit("people.csv", "P22,Siiri,Lehtovaara,2001,5,,,,0,", "P22,Siiri,Lehtovaara,2001,5,,,,1,")
    report = import_folder(folder, at=AT)
    assert (report.created, report.changed, report.removed) == (0, 1, 0)
    assert report.get_count("people").changed == 1
    assert Person.objects.get(code="P22").experience == 1


def test_an_edited_last_day_replaces_the_old_one(folder: Path, edit: Edit) -> None:
    import_folder(folder, at=AT)
    old = "P48,auger,Wojciech Żurawiecki,2027-05-31"
    edit("skills.csv", old, old.replace("2027-05-31", "2027-03-31"))
    report = import_folder(folder, at=AT)
    assert (report.created, report.changed) == (0, 1)
    kept = SkillRecord.objects.get(person__code="P48", skill="auger")
    assert kept.last_day == date(2027, 3, 31)


def test_a_renewal_entered_on_the_site_survives_the_next_import() -> None:
    import_folder(FIXTURES, at=AT)
    antoni = Person.objects.get(code="P48")
    SkillRecord.objects.create(
        person=antoni,
        skill="auger",
        signed_off_by="Wojciech Żurawiecki",
        last_day=date(2028, 5, 31),
    )
    report = import_folder(FIXTURES, at=AT)
    assert (report.created, report.changed, report.removed) == (0, 0, 0)
    assert antoni.skills.filter(skill="auger").count() == 2


def test_what_people_did_since_is_not_undone() -> None:
    import_folder(FIXTURES, at=AT)
    signup = SignUp.objects.filter(session__code="S01", person__isnull=False).first()
    assert signup is not None
    SignUp.objects.filter(pk=signup.pk).update(state=SignUp.State.WITHDRAWN)
    consent = ConsentRecord.objects.get(person__code="P41")
    ConsentRecord.objects.filter(pk=consent.pk).update(withdrawn_on=date(2027, 2, 7))
    Session.objects.filter(code="S02").update(state=Session.State.CALLED_OFF)
    user = User.objects.get(email="lead@example.org")
    end_role(user_id=user.pk, site_id=Site.objects.get().pk, kind="session lead", at=AT)
    report = import_folder(FIXTURES, at=LATER)
    assert (report.created, report.changed, report.removed) == (0, 0, 0)
    signup.refresh_from_db()
    consent.refresh_from_db()
    assert signup.state == SignUp.State.WITHDRAWN
    assert consent.withdrawn_on == date(2027, 2, 7)
    assert Session.objects.get(code="S02").state == Session.State.CALLED_OFF
    assert not user.roles.filter(kind="session lead", ended_at__isnull=True).exists()


def test_two_addresses_that_were_exchanged_are_exchanged(folder: Path) -> None:
    import_folder(folder, at=AT)
    path = folder / "people.csv"
    text = path.read_text(encoding="utf-8")
    for old, new in (("lead@", "swap@"), ("volunteer@", "lead@"), ("swap@", "volunteer@")):
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    assert import_folder(folder, at=AT).get_count("people").changed == 2
    assert Person.objects.get(user__email="lead@example.org").code == "P06"
    assert Person.objects.get(user__email="volunteer@example.org").code == "P03"


def test_every_problem_of_every_file_is_named_and_nothing_is_written(
    folder: Path, edit: Edit
) -> None:
    edit("people.csv", "P05,Олена,Гайворон,1990,4,", "P05,Олена,Гайворон,1990,14,")
    edit("people.csv", "P41,Minh,Nguyễn,2011,6,P02,", "P41,Minh,Nguyễn,2011,6,P99,")
    edit("people.csv", "P12,Réka", "P11,Réka")
    edit("people.csv", "P20,Zofia,Wrońska,1983,1,,,backfill:1", "P20,Zofia,Wrońska,1983,1,,,fill:1")
    edit("people.csv", "no lifting;no long kneeling", "no lifting;no digging")
    edit("skills.csv", "P48,auger,", "P48,augur,")
    edit("sessions.csv", "2027-05-12,17:30", "2027-05-12,half past five")
    edit("groups.toml", '"P37"]', '"P77"]')
    edit("groups.toml", 'liaison = "liaison@example.org"', 'liaison = "lead@example.org"')
    edit("accounts.toml", 'roles = ["session lead"]', 'roles = ["boss"]')
    edit("trees.csv", "T01,A,apple,Bramley's Seedling,4.6", "T01,A,apple,Bramley's Seedling,4;6")
    problems = refusal(folder)
    expected = [
        ("trees.csv line 2: ", "“4;6”"),
        ("people.csv line 6: ", "14", "1 to 12"),
        ("people.csv line 42: ", "unknown guardian “P99”"),
        ("people.csv line 13: ", "“P11”", "people.csv line 12"),
        ("people.csv line 21: ", "“fill”", "backfill"),
        ("people.csv line 10: ", "“no digging”", "no kneeling"),
        ("skills.csv line ", "“augur”", "auger, first_aid, lead, measuring"),
        ("sessions.csv line 8: ", "“half past five”", "09:30"),
        ("groups.toml, group 1 (“SLUICE-7”): ", "“P77”"),
        ("groups.toml, group 1 (“SLUICE-7”): ", "lead@example.org", "school liaison"),
        ("accounts.toml, account 2 (“lead@example.org”): ", "“boss”", "coordinator"),
    ]
    for start, *words in expected:
        found = [problem for problem in problems if problem.startswith(start)]
        assert any(all(word in problem for word in words) for problem in found), (start, problems)


@pytest.mark.parametrize(
    ("name", "old", "new", "says"),
    [
        ("people.csv", "P53,Lan,Nguyễn,2017,9,P02,", "P53,Lan,Nguyễn,2017,9,,", "has no guardian"),
        ("people.csv", "P53,Lan,Nguyễn,2017,9,P02,", "P53,Lan,Nguyễn,2017,9,P41,", "young person"),
        ("people.csv", "birth_month", "birth_date", "has unknown the column birth_date"),
        ("availability.csv", "person,S01,", "person,S99,", "unknown the column S99"),
        ("consents.csv", "P41,2027-1,P02,2027-02-06,", "P41,2027-1,P02,2026-02-05,", "366 days"),
        ("sessions.csv", "2027-03-20,09:30", "2027-03-28,02:30", "does not exist"),
        ("people.csv", "Hạnh,Nguyễn,1984,2", "Hạnh,Nguyễn,2012,2", "takes an adult of 18"),
        ("people.csv", "Siiri,Lehtovaara,2001", "Siiri,Lehtovaara,2011", "takes an adult of 18"),
        ("sessions.csv", "\nS02,", "\nS/02,", "a code has only letters"),
        ("season.toml", 'code = "2027"', "code = 2027", "not text"),
        ("groups.toml", "10 = 13", "10 = 0", "1 to 200 pupils"),
        ("groups.toml", "10 = 13", "ten = 13", "no age of a pupil"),
    ],
)
def test_a_single_slip_is_named(
    folder: Path, edit: Edit, name: str, old: str, new: str, says: str
) -> None:
    edit(name, old, new)
    assert any(
        problem.startswith((name, "availability")) and says in problem
        for problem in refusal(folder)
    )


@pytest.mark.parametrize(
    "name",
    [
        "season.toml",
        "sessions.csv",
        "people.csv",
        "skills.csv",
        "checks.csv",
        "consents.csv",
        "groups.toml",
        "accounts.toml",
        "availability.csv",
    ],
)
def test_a_missing_file_is_named(folder: Path, name: str) -> None:
    (folder / name).unlink()
    assert any(problem.startswith(f"{name}: is missing") for problem in refusal(folder))


def test_a_season_without_its_site_is_refused() -> None:
    with pytest.raises(ImportRefused, match="Import the ground first"):
        import_season(FIXTURES, at=AT)
    import_ground(FIXTURES, at=AT)
    assert import_season(FIXTURES, at=AT).get_count("people").created == 62


def test_an_import_that_fails_half_way_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(SignUp.objects, "bulk_create", fail)
    with pytest.raises(OSError, match="disk full"):
        import_folder(FIXTURES, at=AT)
    assert not Tree.objects.exists()
    assert not Person.objects.exists()
    assert not User.objects.exists()


def test_the_command_says_what_it_did_and_can_be_run_again() -> None:
    first, second = StringIO(), StringIO()
    call_command("load_season", folder=FIXTURES, stdout=first)
    call_command("load_season", folder=FIXTURES, stdout=second)
    assert "trees                36  36 new" in first.getvalue()
    assert "Nothing had changed since the last time." in second.getvalue()
    assert " new" not in second.getvalue()


def test_the_command_refuses_a_folder_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="There is no folder"):
        call_command("load_season", folder=tmp_path / "elsewhere")
    with pytest.raises(CommandError, match=r"site\.toml: is missing"):
        call_command("load_season", folder=tmp_path)
