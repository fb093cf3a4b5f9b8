"""Problem documents of a session and a season: written, solved, judged, loaded back, kept."""

import json
import re
from http import HTTPStatus
from io import BytesIO

import pytest
from django.test import Client

from scheduling.domain.documents.answers import answer_day, answer_season
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.writing import write_day_roster, write_season_plan
from scheduling.domain.planner.day import solve_roster
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.season import solve_season
from scheduling.models import Person, PlannedWork, Roster, SeasonPlan, Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_roster
from tests.signed_in import COORDINATOR, LEAD, S02, SEASON, VOLUNTEER, SignIn

QUICK = Limits(seconds=3, workers=1)
DAY_PAGE, SEASON_PAGE = f"{S02}/roster/document/", f"{SEASON}/document/"


def _fetch(client: Client, page: str) -> str:
    answer = client.get(f"{page}problem.json")
    assert answer.headers["Content-Type"] == "application/json; charset=utf-8"
    assert "attachment" in answer.headers["Content-Disposition"]
    return answer.content.decode()


def _upload(client: Client, page: str, text: str) -> str:
    file = BytesIO(text.encode())
    file.name = "answer.json"
    return client.post(page, {"file": file}).content.decode()


def _confirm(client: Client, page: str, shown: str, answer: str):
    seen = re.search(r'name="seen" value="([0-9a-f]{64})"', shown)
    assert seen is not None
    return client.post(f"{page}take/", {"answer": answer, "seen": seen[1]}, follow=True)


def _solve_day(text: str) -> str:
    document = read_day_problem(text)
    case = build_day(document)
    answer = answer_day(case, solve_roster(case.problem, case.conditions, QUICK), 0.1)
    assert judge_day(document, answer).broken == ()
    return write_day_roster(answer)


def test_a_session_goes_out_and_comes_back_as_a_draft(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    answer = _solve_day(_fetch(client, DAY_PAGE))

    shown = _upload(client, DAY_PAGE, answer)
    assert not Roster.objects.exists()
    assert "The answer, not kept yet" in shown
    kept = _confirm(client, DAY_PAGE, shown, answer).content.decode()

    row = Roster.objects.get(session=small_day)
    busy = {(cell.person, cell.round) for cell in load_roster(row.pk).assignments}
    solved = json.loads(answer)["assignments"]
    told = {
        (int(name[1:]), n) for name, tasks in solved.items() for n, one in enumerate(tasks) if one
    }
    assert "Kept as draft version 1" in kept
    assert "from an answer document" in kept
    assert (row.state, row.status, row.bound) == (Roster.State.DRAFT, "loaded", {})
    assert busy == told


def test_the_document_names_nobody(sign_in: SignIn, small_day: Session) -> None:
    text = _fetch(sign_in(COORDINATOR), DAY_PAGE)

    document = read_day_problem(text)
    for person in Person.objects.filter(signups__session=small_day):
        for name in (person.first_name, person.family_name):
            assert not name or name not in text
    assert document.name == "2027/S02"
    assert len(document.people) == 5


@pytest.mark.parametrize("code", ["S01", "S02", "S05", "S08"])
def test_every_session_of_the_demo_is_a_document_that_reads_back(
    sign_in: SignIn, code: str
) -> None:
    session = Session.objects.get(code=code)
    text = _fetch(sign_in(COORDINATOR), f"{SEASON}/sessions/{code}/roster/document/")

    document = read_day_problem(text)
    problem = load_roster_problem(session.pk)

    assert len(document.people) == len(problem.people)
    assert document.rules.points_per_round == tuple(
        problem.round_minutes * 10 * pace // 100 for pace in problem.pace_percent
    )


def test_what_the_format_cannot_say_is_listed(sign_in: SignIn, small_day: Session) -> None:
    text = sign_in(COORDINATOR).get(DAY_PAGE).content.decode()

    assert "What the document cannot say" in text
    assert "An answer that comes back is judged by all of these too." in text


def test_findings_are_shown_and_the_draft_is_kept_all_the_same(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    answer = json.loads(_solve_day(_fetch(client, DAY_PAGE)))
    task = next(iter(answer["units"]))
    first = next(iter(answer["assignments"]))
    for name, row in answer["assignments"].items():
        answer["assignments"][name] = [task if name == first else None, *[None] * (len(row) - 1)]
    answer["units"] = {}

    shown = _upload(client, DAY_PAGE, json.dumps(answer))
    kept = _confirm(client, DAY_PAGE, shown, json.dumps(answer)).content.decode()

    assert "not met" in shown
    assert "cannot be published like this" in shown
    assert "The roster cannot be published like this." in kept
    assert Roster.objects.get(session=small_day).state == Roster.State.DRAFT


REFUSED = [
    ({"problem": "2027/S03"}, "The answer is for the document “2027/S03”"),
    ({"format": "season-plan/1"}, "“season-plan/1” stands where “day-roster/1” is asked for"),
    ({"assignments": {"p999": ["t1"]}}, "names people that are not here, or not any more: p999"),
    ({"units": {"t999": [1]}}, "names tasks that are not here, or not any more: t999"),
    ({"assignments": {}, "units": {}, "status": "impossible", "reasons": ["Nobody leads."]},
     "The answer is impossible and holds nothing to load. It says: Nobody leads."),
    ({"seconds": -1}, "seconds (line"),
]  # fmt: skip


@pytest.mark.parametrize(("changed", "words"), REFUSED)
def test_an_answer_to_something_else_is_refused_in_a_sentence(
    sign_in: SignIn, small_day: Session, changed: dict, words: str
) -> None:
    client = sign_in(COORDINATOR)
    answer = json.loads(_solve_day(_fetch(client, DAY_PAGE))) | changed

    shown = _upload(client, DAY_PAGE, json.dumps(answer))

    assert words in shown
    assert 'name="seen"' not in shown
    assert not Roster.objects.exists()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe", "is not UTF-8"),
        (b"", "The file is empty."),
        (b"[" * 900_000, "nested more than"),
        (b" " * 1_000_001, "at most 1,000,000 may be"),
    ],
)
def test_nonsense_is_refused_in_a_sentence(
    sign_in: SignIn, small_day: Session, data: bytes, words: str
) -> None:
    file = BytesIO(data)
    file.name = "answer.json"

    answer = sign_in(COORDINATOR).post(DAY_PAGE, {"file": file})

    assert answer.status_code == HTTPStatus.OK
    assert words in answer.content.decode()


def test_what_changed_since_it_was_looked_at_is_not_kept(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    answer = _solve_day(_fetch(client, DAY_PAGE))
    shown = _upload(client, DAY_PAGE, answer)
    busy = [name for name, row in json.loads(answer)["assignments"].items() if any(row)]
    SignUp.objects.filter(session=small_day, person_id=int(busy[0][1:])).delete()

    text = _confirm(client, DAY_PAGE, shown, answer).content.decode()

    assert "Nothing was kept." in text
    assert not Roster.objects.exists()


def test_a_digest_that_was_not_shown_keeps_nothing(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    answer = _solve_day(_fetch(client, DAY_PAGE))

    guessed = client.post(f"{DAY_PAGE}take/", {"answer": answer, "seen": "0" * 64}, follow=True)
    without = client.post(f"{DAY_PAGE}take/", {}, follow=True)

    assert "look again" in guessed.content.decode()
    assert "choose the file and look at it first" in without.content.decode()
    assert not Roster.objects.exists()


def test_a_season_goes_out_and_comes_back_as_a_plan(sign_in: SignIn, small_day: Session) -> None:
    client = sign_in(COORDINATOR)
    document = read_season_problem(_fetch(client, SEASON_PAGE))
    case = build_season(document)
    found = answer_season(case, solve_season(case.problem, QUICK), 0.1)
    assert judge_season(document, found).broken == ()
    answer = write_season_plan(found)
    before = SeasonPlan.objects.get(current=True).pk

    shown = _upload(client, SEASON_PAGE, answer)
    assert SeasonPlan.objects.count() == 1
    kept = _confirm(client, SEASON_PAGE, shown, answer).content.decode()

    plan = SeasonPlan.objects.exclude(pk=before).get()
    assert "Propose this plan" in shown
    assert "The plan is proposed." in kept
    assert (plan.proposed, plan.current, plan.bound) == (True, False, None)
    assert {f"s{work.session_id}" for work in plan.work.all()} == {
        session for _, row in found.units for session, _ in row
    }


def test_a_season_plan_that_breaks_what_must_hold_is_not_proposed(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    document = read_season_problem(_fetch(client, SEASON_PAGE))
    units = {document.items[0].id: {document.sessions[0].id: document.items[0].units + 5}}
    answer = json.dumps(
        {"format": "season-plan/1", "problem": document.name, "status": "good", "units": units,
         "objective": 1, "bound": 1, "seconds": 1}
    )  # fmt: skip

    shown = _upload(client, SEASON_PAGE, answer)
    forced = client.post(f"{SEASON_PAGE}take/", {"answer": answer, "seen": "0" * 64}, follow=True)

    assert "the plan cannot be proposed" in shown
    assert 'name="seen"' not in shown
    assert "The answer breaks what must hold." in forced.content.decode()
    assert SeasonPlan.objects.count() == 1


def test_promised_work_that_an_answer_takes_away_is_told(
    sign_in: SignIn, small_day: Session
) -> None:
    client = sign_in(COORDINATOR)
    small_day.state = Session.State.PUBLISHED
    small_day.save()
    document = read_season_problem(_fetch(client, SEASON_PAGE))
    other = next(s for s in document.sessions if s.id != f"s{small_day.pk}")
    answer = json.dumps(
        {"format": "season-plan/1", "problem": document.name, "status": "good",
         "units": {document.items[0].id: {other.id: 1}}, "objective": 1, "bound": 1, "seconds": 1}
    )  # fmt: skip

    page = client.get(SEASON_PAGE).content.decode()
    shown = _upload(client, SEASON_PAGE, answer)

    assert PlannedWork.objects.filter(session=small_day).exists()
    assert "1 piece of work promised by published rosters" in page
    assert "the published roster of" in shown
    assert 'name="seen"' not in shown


@pytest.mark.parametrize("page", [DAY_PAGE, SEASON_PAGE])
def test_only_the_coordinator_sees_documents(
    sign_in: SignIn, small_day: Session, page: str
) -> None:
    for who in (LEAD, VOLUNTEER):
        client = sign_in(who)
        for address in (page, f"{page}problem.json"):
            assert client.get(address).status_code in (HTTPStatus.FORBIDDEN, HTTPStatus.NOT_FOUND)
        assert client.post(f"{page}take/", {}).status_code in (
            HTTPStatus.FORBIDDEN, HTTPStatus.NOT_FOUND,
        )  # fmt: skip
