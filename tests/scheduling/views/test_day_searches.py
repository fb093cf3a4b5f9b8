"""Answers about a day searched in the background: followed, stopped, lost, out of date, one a time.

The chance, what one more of each would bring, spare hands, and a longer search of a repair.
"""

import re
from collections.abc import Callable
from datetime import timedelta
from http import HTTPStatus
from unittest import mock

import pytest
from django.test import Client

from orchard.models import User
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.spare_hands import Spare
from scheduling.models import Roster, SearchRun, SearchWorker, Session, SignUp
from scheduling.queries import runs
from scheduling.services.rosters import propose_roster
from tests.scheduling.views.searching import carry_out_as_worker, press_when_heard, text_of
from tests.signed_in import COORDINATOR, LEAD, NOW, S02, STRANGER, VOLUNTEER, SignIn

ROSTER = f"{S02}/roster/"
CHANCE, BETTER, REPAIR = f"{ROSTER}chance/", f"{ROSTER}better/", f"{ROSTER}repair/"
HTMX = {"HTTP_HX_REQUEST": "true"}
SAID = "40 of 200 days drawn; 93 % of them work so far, between 80 and 97 % with 95 % certainty"
KINDS = {"chance": CHANCE, "costs": BETTER, "spare": BETTER, "repair": REPAIR}


@pytest.fixture(autouse=True)
def short_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    for kind in runs.USUAL_SECONDS:
        monkeypatch.setitem(runs.USUAL_SECONDS, kind, 4.0)


@pytest.fixture
def worker(sign_in: SignIn) -> SearchWorker:
    """A worker that gave a sign of life just now; nothing takes its tasks up."""
    return SearchWorker.objects.create(name="w1", started_at=NOW, beat_at=NOW)


def begin(client: Client, kind: str, roster: Roster | None = None) -> str:
    wishes = {"spare": "yes", "wishes": [str(each) for each in Spare]}
    sent: dict[str, object] = {"costs": {"ask": "costs"}, "spare": wishes}.get(kind, {})
    if kind == "repair":
        assert roster is not None
        gone = roster.places.exclude(person=None).order_by("person").first().person_id
        sent = {"roster": roster.pk, "next_round": 0, "longer": "yes", f"left_{gone}": "0"}
    return client.post(KINDS[kind], sent, follow=True).content.decode()


def made_running(kind: str, session: Session, **more: object) -> SearchRun:
    began = NOW - timedelta(seconds=5)
    return SearchRun.objects.create(
        site=session.season.site, kind=kind, session=session, state="running", seconds=60, seed=1,
        requested_at=began, started_at=began, heartbeat_at=NOW, worker="w1",
        requested_by=User.objects.get(email=COORDINATOR),
        stages=[{"stage": "days drawn", "value": 37, "bound": 200, "seconds": 2.0, "said": SAID}],
        **more,
    )  # fmt: skip


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize("kind", KINDS)
def test_it_is_left_to_the_worker_and_its_answer_is_kept_with_its_time(
    sign_in: SignIn, told: Roster, kind: str
) -> None:
    client = sign_in(COORDINATOR)

    begun = begin(client, kind, told)
    assert "waiting</span>" in begun
    assert SearchRun.objects.get().state == "waiting"

    run = carry_out_as_worker()
    page = text_of(client, KINDS[kind])
    assert (run.state, run.kind, run.worker) == ("ended", kind, "w1")
    assert "Found Mon 1 February 2027" in page
    assert f"asked for by {COORDINATOR}" in page
    assert "out of date" not in page
    assert text_of(client, KINDS[kind]) is not None  # a reload shows the same
    assert Roster.objects.count() == 1


@pytest.mark.parametrize("kind", KINDS)
def test_without_a_worker_the_page_searches_by_itself(
    sign_in: SignIn, told: Roster, kind: str
) -> None:
    client = sign_in(COORDINATOR)

    assert "No search worker is running on this server" in text_of(client, KINDS[kind])
    page = begin(client, kind, told)

    run = SearchRun.objects.get()
    assert (run.state, run.seconds) == ("ended", 4.0)
    assert "Found " in page


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize("kind", KINDS)
def test_two_presses_are_one_search(sign_in: SignIn, told: Roster, kind: str) -> None:
    client = sign_in(COORDINATOR)
    begin(client, kind, told)

    page = begin(client, kind, told)

    assert SearchRun.objects.count() == 1
    assert "A search is under way already, so no other was begun." in page


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize("kind", KINDS)
def test_there_is_one_at_a_time_of_whatever_kind_and_the_page_says_which(
    sign_in: SignIn, told: Roster, kind: str
) -> None:
    client = sign_in(COORDINATOR)
    client.post(f"{ROSTER}propose/", {"seconds": "300"})

    before = text_of(client, KINDS[kind])
    page = begin(client, kind, told)

    assert "another search of this session is under way: roster" in before
    assert f'href="{ROSTER}"' in before
    assert "Another search of this session is under way (roster)" in page
    assert SearchRun.objects.get().kind == "roster"


@pytest.mark.usefixtures("worker")
def test_a_chance_under_way_keeps_the_roster_page_from_beginning_another(
    sign_in: SignIn, told: Roster
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, "chance")

    page = text_of(client, ROSTER)

    assert "another search of this session is under way: chance" in page
    assert "Propose another roster" not in page
    assert f'href="{CHANCE}"' in page


@pytest.mark.usefixtures("worker")
def test_a_quick_repair_is_shown_beside_a_long_search(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(LEAD)
    made_running("roster", told.session)
    gone = told.places.exclude(person=None).order_by("person").first().person_id

    page = client.post(
        REPAIR, {"roster": told.pk, "next_round": 0, f"left_{gone}": "0"}
    ).content.decode()

    assert "Searched for" in page
    assert 'name="sealed"' in page
    assert "Search longer" not in page  # there is one at a time


@pytest.mark.usefixtures("worker")
def test_progress_is_told_in_words_with_its_interval(sign_in: SignIn, told: Roster) -> None:
    made_running("chance", told.session)

    page = text_of(sign_in(COORDINATOR), CHANCE)
    part = text_of(sign_in(COORDINATOR), f"{CHANCE}search/", **HTMX)

    for shown in (page, part):
        assert SAID in shown
        assert "5 of at most 60 s" in shown
    assert "The chance is being estimated" in page
    assert "Stop and keep what is known so far" in page
    assert part.strip().startswith('<div id="search-live"')


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize(("kind", "who"), [("chance", COORDINATOR), ("costs", COORDINATOR),
                                           ("repair", LEAD)])  # fmt: skip
def test_it_is_stopped_from_its_own_page_only(
    sign_in: SignIn, told: Roster, kind: str, who: str
) -> None:
    run = made_running(kind, told.session, asked={"roster": told.pk, "sent": {}})
    others = [page for page in {*KINDS.values(), ROSTER} if page != KINDS[kind]]
    for page in others:
        sign_in(COORDINATOR).post(f"{page}search/stop/")
    run.refresh_from_db()
    assert run.state == "running"

    sign_in(who).post(f"{KINDS[kind]}search/stop/")

    run.refresh_from_db()
    assert run.state == "stopping"


@pytest.mark.usefixtures("worker")
def test_a_stop_keeps_the_days_drawn_so_far(
    sign_in: SignIn, told: Roster, monkeypatch: pytest.MonkeyPatch
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, "chance")
    press_when_heard(monkeypatch, 6, lambda: client.post(f"{CHANCE}search/stop/"))
    run = carry_out_as_worker()

    assert run.answer["told"]["draws"] == 6
    page = text_of(client, CHANCE)
    assert "An estimate from 6 drawn days" in page
    assert "There was time for 6 of 200 days" in page
    assert "There was no time left to try sign-ups." in page


@pytest.mark.usefixtures("worker")
@pytest.mark.parametrize("kind", KINDS)
def test_a_worker_that_was_killed_leaves_it_lost_and_another_may_begin(
    sign_in: SignIn, told: Roster, kind: str
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, kind, told)
    silent = NOW - timedelta(minutes=5)
    SearchRun.objects.update(state="running", worker="w1", started_at=silent, heartbeat_at=silent)
    SearchWorker.objects.update(beat_at=silent)

    page = text_of(client, KINDS[kind])
    assert "lost</span>" in page
    assert "process ended without a word" in page or "lost" in page

    begin(client, kind, told)
    assert list(SearchRun.objects.order_by("pk").values_list("state", flat=True)) == [
        "lost", "ended",
    ]  # fmt: skip


def change_signups(session: Session) -> None:
    SignUp.objects.filter(session=session, person__code="P05").delete()


def make_another_roster(session: Session) -> None:
    propose_roster(session_id=session.pk, by=None, at=NOW)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize(
    ("change", "why"),
    [
        (change_signups, "Sign-ups, work, rules or the day’s figures have changed since."),
        (make_another_roster, "Another roster was made since: version 2."),
    ],
)
def test_an_answer_of_another_day_is_said_to_be_out_of_date(
    sign_in: SignIn, told: Roster, kind: str, change: Callable[[Session], None], why: str
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, kind, told)

    change(told.session)
    page = text_of(client, KINDS[kind])

    assert "this answer is out of date." in page
    assert why in page
    assert 'name="sealed"' not in page


def test_a_fault_of_the_program_is_a_sentence_and_the_answer_before_stays(
    sign_in: SignIn, told: Roster
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, "chance")
    broken = mock.patch(
        "scheduling.domain.planner.chance.estimate_chance", side_effect=EngineFault("wrong")
    )
    client.raise_request_exception = False

    with broken:
        client.post(CHANCE)
    page = text_of(client, CHANCE)

    assert SearchRun.objects.order_by("-pk")[0].state == "failed"
    assert "failed</span>" in page
    assert "An estimate from" in page
    assert "The estimate below is the one from before." in page


@pytest.mark.usefixtures("worker")
def test_a_repair_whose_roster_was_replaced_while_it_waited_says_so(
    sign_in: SignIn, told: Roster
) -> None:
    client = sign_in(COORDINATOR)
    begin(client, "repair", told)
    make_another_roster(told.session)

    run = carry_out_as_worker()

    assert run.state == "failed"
    assert "A newer roster was made meanwhile" in text_of(client, REPAIR)


def test_the_longer_repair_that_was_shown_is_the_one_kept(sign_in: SignIn, told: Roster) -> None:
    client = sign_in(LEAD)
    page = begin(client, "repair", told)
    sealed = re.search(r'name="sealed" value="([^"]+)"', page)
    gone = told.places.exclude(person=None).order_by("person").first().person_id
    assert sealed
    assert re.search(rf'name="left_{gone}".*?value="0"\s+selected', page, re.DOTALL)

    answer = client.post(f"{REPAIR}keep/", {"sealed": sealed[1]}, follow=True).content.decode()

    assert "Kept as draft version 2. Nobody was told." in answer
    assert not Roster.objects.get(version=2).places.filter(person=gone).exists()
    assert 'name="sealed"' not in text_of(client, REPAIR)  # it is of the roster before


@pytest.mark.parametrize("address", [CHANCE, BETTER])
def test_leads_and_strangers_have_no_business_there(
    sign_in: SignIn, told: Roster, address: str
) -> None:
    run = made_running("chance", told.session)
    for who in (LEAD, VOLUNTEER, STRANGER):
        assert sign_in(who).get(f"{address}search/", **HTMX).status_code == HTTPStatus.NOT_FOUND
        assert sign_in(who).post(f"{address}search/stop/").status_code == HTTPStatus.NOT_FOUND
        assert sign_in(who).post(f"{address}search/here/").status_code == HTTPStatus.NOT_FOUND
    run.refresh_from_db()
    assert run.state == "running"


@pytest.mark.parametrize(
    ("sent", "sentence"),
    [({"seconds": "0"}, "greater than or equal to 1"), ({"seconds": "999"}, "is longer than the")],
)
@pytest.mark.parametrize("kind", ["chance", "costs"])
def test_seconds_that_cannot_be_are_refused_beside_the_field(
    sign_in: SignIn, told: Roster, kind: str, sent: dict[str, str], sentence: str
) -> None:
    page = sign_in(COORDINATOR).post(KINDS[kind], sent).content.decode()

    assert sentence in page
    assert not SearchRun.objects.exists()


def test_erasing_somebody_empties_what_was_answered_of_their_day(
    sign_in: SignIn, told: Roster
) -> None:
    from scheduling.services.erasure import erase_person

    begin(sign_in(COORDINATOR), "repair", told)
    who = told.places.exclude(person=None).order_by("-person__birth_year").first().person
    SignUp.objects.filter(person=who).delete()

    erase_person(person_id=who.pk, asked_by="a test", at=NOW)

    run = SearchRun.objects.get(kind="repair")
    assert (run.answer, run.asked) == (None, {})
