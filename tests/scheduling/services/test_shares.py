"""The season so far, read from earlier rosters into the day's problem: counts, company, privacy."""

from dataclasses import replace

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from orchard.models import Task
from scheduling.domain.past_share import PastShare
from scheduling.domain.search_progress import digest_problem
from scheduling.models import Person, Roster, RosterPlace, Season, Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.shares import load_season_shares
from scheduling.services.erasure import erase_person
from tests.signed_in import NOW

HEAVY, LIGHT = "RNG-A-1", "GRO-A-1"


@pytest.fixture
def later_day(small_day: Session) -> Session:
    """S03 with the people of the small day; S01 lies before it."""
    session = Session.objects.get(code="S03")
    SignUp.objects.filter(session=session).delete()
    for code in ("P01", "P02", "P03", "P05", "P06", "P08"):
        SignUp.objects.create(
            session=session, person=Person.objects.get(code=code), state="confirmed", at=NOW
        )
    return session


def publish(code: str, places: dict[str, str], *, state: str = "published") -> Roster:
    """Publish a roster: by person, a letter for each round, h and l for tasks."""
    session = Session.objects.get(code=code)
    tasks = {"h": Task.objects.get(key=HEAVY), "l": Task.objects.get(key=LIGHT)}
    roster = Roster.objects.create(
        session=session, version=1 + session.rosters.count(), state=state, status="good",
        value={}, bound={}, seconds=0.1, seed=1, engine="by hand", made_at=NOW,
    )  # fmt: skip
    for person, row in places.items():
        for round_, letter in enumerate(row):
            if letter in tasks:
                RosterPlace.objects.create(
                    roster=roster, person=Person.objects.get(code=person), round=round_,
                    task=tasks[letter],
                )  # fmt: skip
    return roster


def past_of(session: Session, code: str) -> PastShare | None:
    return person_of(session, code).past


def person_of(session: Session, code: str):
    number = Person.objects.get(code=code).pk
    return next(p for p in load_roster_problem(session.pk).people if p.id == number)


def test_a_first_session_is_exactly_as_it_was(small_day: Session) -> None:
    problem = load_roster_problem(small_day.pk)

    assert {person.past for person in problem.people} == {None}
    assert problem == load_roster_problem(small_day.pk, with_past=False)


def test_an_earlier_published_roster_is_added_up(later_day: Session) -> None:
    Person.objects.update(preferences={}, wished_skills=[])
    publish("S01", {"P01": "llll", "P02": "ll-l", "P03": "l---"})
    is_heavy = Task.objects.get(key=LIGHT).content["heavy"]
    assert not is_heavy

    assert past_of(later_day, "P01") == PastShare(sessions=1, rounds=4, even_idle=1)
    assert past_of(later_day, "P02") == PastShare(sessions=1, rounds=3, idle=1, even_idle=1)
    assert past_of(later_day, "P03") == PastShare(sessions=1, rounds=1, idle=3, even_idle=1)
    assert past_of(later_day, "P05") is None


@pytest.mark.parametrize("state", ["draft", "replaced"])
def test_what_nobody_was_told_does_not_count(later_day: Session, state: str) -> None:
    publish("S01", {"P01": "llll"}, state=state)

    assert past_of(later_day, "P01") is None


def test_sessions_called_off_later_ones_and_other_seasons_do_not_count(later_day: Session) -> None:
    publish("S01", {"P01": "ll--"})
    publish("S02", {"P01": "llll"})
    publish("S05", {"P01": "llll"})
    Session.objects.filter(code="S02").update(state=Session.State.CALLED_OFF)

    assert past_of(later_day, "P01").rounds == 2

    season = Season.objects.create(site=later_day.season.site, code="2026", name="The one before")
    Session.objects.filter(code="S01").update(season=season)
    assert past_of(later_day, "P01") is None


def test_likings_and_wishes_count_as_they_are_said_today(later_day: Session) -> None:
    kinds = {key: Task.objects.get(key=key).kind for key in (HEAVY, LIGHT)}
    assert kinds[HEAVY] != kinds[LIGHT]
    Person.objects.filter(code="P01").update(preferences={kinds[HEAVY]: 2, kinds[LIGHT]: -2})
    publish("S01", {"P01": "hll-"})

    past = past_of(later_day, "P01")

    assert (past.liked, past.disliked, past.unmet_points) == (1, 2, 0)


def test_who_never_met_an_old_hand_stays_new_and_six_sessions_make_one(later_day: Session) -> None:
    Person.objects.update(experience=0)
    Person.objects.filter(code="P01").update(experience=2)
    publish("S01", {"P01": "ll--", "P02": "l---", "P03": "-h--"})

    found = {code: person_of(later_day, code).experience for code in ("P01", "P02", "P03", "P05")}

    assert found == {"P01": 2, "P02": 1, "P03": 0, "P05": 0}
    last = Session.objects.get(code="S14")
    SignUp.objects.create(
        session=last, person=Person.objects.get(code="P03"), state="confirmed", at=NOW
    )
    for number in range(2, 6):
        publish(f"S0{number}", {"P03": "-h--"})
    assert person_of(last, "P03").experience == 1
    publish("S06", {"P03": "-h--"})
    assert person_of(last, "P03").experience == 2
    assert Person.objects.get(code="P03").experience == 0  # nothing is written back


def test_a_roster_published_earlier_makes_a_later_draft_out_of_date(later_day: Session) -> None:
    before = digest_problem(load_roster_problem(later_day.pk))
    publish("S01", {"P01": "llll"})

    assert digest_problem(load_roster_problem(later_day.pk)) != before


def test_more_people_and_sessions_are_read_with_no_more_queries(later_day: Session) -> None:
    def asked() -> int:
        load_roster_problem(later_day.pk)  # what a process decodes once is not this day's own
        with CaptureQueriesContext(connection) as queries:
            load_roster_problem(later_day.pk)
        return len(queries)

    none = asked()
    publish("S01", {"P01": "l---"})
    few = asked()
    publish("S02", {p.code: "hlhl" for p in Person.objects.all()})

    assert asked() == few <= none + 4


def test_young_people_are_in_nobodys_table(later_day: Session) -> None:
    young = Person.objects.filter(guardian__isnull=False).first()
    publish("S01", {"P01": "hhll", "P02": "llll", young.code: "llll"})
    season = later_day.season

    seen = load_season_shares(season_id=season.pk, site_id=season.site_id, on=NOW.date())

    assert [line.name for line in seen.lines] == ["Hạnh Nguyễn", "Ilse Vandermolen"]
    assert (seen.young, seen.sessions, seen.rounds) == (1, 1, 8)


def test_a_past_leans_the_search_as_the_domain_says(later_day: Session) -> None:
    """The loaded day is what the domain's own tests weigh: a replaced past is all that differs."""
    publish("S01", {"P01": "llll", "P02": "ll--"})
    with_past = load_roster_problem(later_day.pk)
    without = load_roster_problem(later_day.pk, with_past=False)

    bare = [replace(p, past=None, experience=q.experience) for p, q in
            zip(with_past.people, without.people, strict=True)]  # fmt: skip
    assert tuple(bare) == without.people


def test_who_was_erased_is_in_no_line_and_still_in_the_even_shares(later_day: Session) -> None:
    publish("S01", {"P01": "llll", "P03": "ll--"})
    season = later_day.season
    SignUp.objects.all().delete()
    where = {"season_id": season.pk, "site_id": season.site_id, "on": NOW.date()}
    before = load_season_shares(**where)

    erase_person(person_id=Person.objects.get(code="P03").pk, asked_by="themselves", at=NOW)

    after = load_season_shares(**where)
    assert [line.name for line in after.lines] == ["Ilse Vandermolen"]
    before_of = {line.name: line.share for line in before.lines}
    # What they liked is emptied with the rest of them; their rounds still count.
    known = replace(before_of["Ilse Vandermolen"], even_liked=after.lines[0].share.even_liked)
    assert after.lines[0].share == known
    assert (after.young, after.sessions) == (0, 1)
