"""A school asks, the coordinator answers, each is told; a request is its own school's alone."""

import pytest
from django.db import IntegrityError, transaction

from orchard.models import Site, User
from scheduling.domain.errors import ClassRefused
from scheduling.models import ClassRequest, Message, SchoolGroup, Session, SignUp
from scheduling.queries.class_requests import find_request, load_own_requests, load_site_requests
from scheduling.services.class_bookings import record_group_signup
from scheduling.services.class_requests import (
    RequestSaid,
    ask_to_come,
    decline_request,
    offer_session,
    take_back_request,
)
from tests.signed_in import LIAISON, NOW, OTHER_LIAISON

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


@pytest.fixture
def site(db: None) -> Site:
    return Site.objects.get(slug="traverser-yard")


def account(email: str) -> int:
    return User.objects.get(email=email).pk


def said(**changes: object) -> RequestSaid:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    asked: dict[str, object] = {
        "group_id": group.pk,
        "name": "",
        "school": "",
        "pupils_by_age": ((10, 13), (11, 9)),
        "staff": 4,
        "helpers": 2,
        "weekdays": (1, 3),
        "session_ids": (Session.objects.get(code="S06").pk,),
        "wished_kinds": ("weed",),
        "access_needs": "A firm path for a wheelchair.",
    }
    return RequestSaid(**(asked | changes))


def ask(site: Site, email: str = LIAISON, **changes: object) -> int:
    return ask_to_come(user_id=account(email), site_id=site.pk, said=said(**changes), at=NOW)


def offer(site: Site, request: int, code: str = "S06", words: str = "") -> None:
    session = Session.objects.get(code=code)
    offer_session(
        request_id=request, site_id=site.pk, session_id=session.pk, words=words, by="Ilse", at=NOW
    )


def state(site: Site, request: int) -> str:
    page = find_request(request, site_id=site.pk, at=NOW)
    assert page is not None
    return page.state


def test_asking_books_nothing_and_tells_the_organiser_once(site: Site) -> None:
    before = SignUp.objects.count()
    request = ask(site)

    (page,) = load_own_requests(user_id=account(LIAISON), site_id=site.pk, at=NOW)
    assert (page.id, page.name, page.pupils, page.state) == (request, "Class 7", 22, "asked")
    assert page.weekdays == ("Tuesday", "Thursday")
    assert SignUp.objects.count() == before
    (letter,) = Message.objects.filter(key__startswith="request/")
    assert letter.to == site.organiser_email
    assert "about 22 pupils with 4 staff. They would like: weed." in letter.text


def test_pressing_twice_is_one_request(site: Site) -> None:
    ask(site)
    with pytest.raises(ClassRefused, match="has asked already"):
        ask(site)
    assert ClassRequest.objects.count() == 1
    row = ClassRequest.objects.get()
    with pytest.raises(IntegrityError), transaction.atomic():
        ClassRequest.objects.create(
            site=site, liaison=row.liaison, name=row.name, school=row.school,
            pupils_by_age={"10": 1}, asked_at=NOW,
        )  # fmt: skip


def test_an_offered_session_is_booked_by_the_ordinary_check(site: Site) -> None:
    request = ask(site)
    Session.objects.filter(code="S06").update(capacity=90)
    offer(site, request, words="Bring boots")

    assert state(site, request) == "a session is offered"
    letter = Message.objects.get(key=f"request/{request}/offered")
    assert letter.to == LIAISON
    assert "It is not booked yet" in letter.text
    assert "From the coordinator: Bring boots." in letter.text
    session, group = Session.objects.get(code="S06"), SchoolGroup.objects.get(code="SLUICE-7")
    assert not SignUp.objects.filter(session=session, group=group).exists()

    receipt = record_group_signup(session_id=session.pk, group_id=group.pk, at=NOW)

    assert (receipt.state, state(site, request)) == ("confirmed", "signed up")


def test_a_class_not_on_file_is_put_there_with_its_numbers_when_offered(site: Site) -> None:
    request = ask(site, group_id=None, name="Class 9b", school="Weir School, Ellemarre")
    assert not SchoolGroup.objects.filter(name="Class 9b").exists()

    offer(site, request)

    group = SchoolGroup.objects.get(name="Class 9b")
    assert (group.code, group.school, group.pupils_by_age, group.helpers) == (
        "CLASS-1", "Weir School, Ellemarre", {"10": 13, "11": 9}, 2,
    )  # fmt: skip
    assert group.liaison_id == account(LIAISON)
    assert find_request(request, site_id=site.pk, at=NOW).group_code == "CLASS-1"
    refused = record_group_signup(
        session_id=Session.objects.get(code="S06").pk, group_id=group.pk, at=NOW
    )
    assert refused.state == "refused"  # nobody of its staff is on file yet


def test_declining_needs_a_sentence_and_tells_it(site: Site) -> None:
    request = ask(site)
    with pytest.raises(ClassRefused, match="Write a sentence"):
        decline_request(request_id=request, site_id=site.pk, words=" ", by="Ilse", at=NOW)

    decline_request(
        request_id=request, site_id=site.pk, words="We bore in May. Ask in June", by="Ilse", at=NOW
    )

    assert state(site, request) == "declined"
    letter = Message.objects.get(key=f"request/{request}/declined")
    assert "We bore in May. Ask in June." in letter.text
    with pytest.raises(IntegrityError), transaction.atomic():
        ClassRequest.objects.filter(pk=request).update(answer="")


def test_an_answered_request_is_not_answered_again(site: Site) -> None:
    request = ask(site)
    offer(site, request)

    with pytest.raises(ClassRefused, match="already"):
        decline_request(request_id=request, site_id=site.pk, words="No.", by="Ilse", at=NOW)
    with pytest.raises(ClassRefused, match="already"):
        offer(site, request, "S05")
    assert Message.objects.filter(to=LIAISON, key__startswith="request/").count() == 1


def test_what_is_taken_back_may_be_asked_anew(site: Site) -> None:
    request = ask(site)
    for _ in range(2):
        take_back_request(user_id=account(LIAISON), site_id=site.pk, request_id=request, at=NOW)

    assert state(site, request) == "taken back"
    assert Message.objects.filter(key=f"request/{request}/withdrawn").count() == 1
    assert ask(site) != request


def test_those_that_wait_for_an_answer_stand_first(site: Site) -> None:
    first = ask(site)
    offer(site, first)
    second = ask(site, group_id=None, name="Class 9b", school="Weir School")

    assert [page.id for page in load_site_requests(site.pk, at=NOW)] == [second, first]


def test_a_request_is_of_its_own_school_and_site(site: Site) -> None:
    request = ask(site)
    other_site = Site.objects.get(slug="elsewhere")

    with pytest.raises(ClassRefused, match="not yours"):
        ask(site, OTHER_LIAISON)
    assert load_own_requests(user_id=account(OTHER_LIAISON), site_id=site.pk, at=NOW) == ()
    assert find_request(request, site_id=other_site.pk, at=NOW) is None
    with pytest.raises(ClassRequest.DoesNotExist):
        take_back_request(
            user_id=account(OTHER_LIAISON), site_id=site.pk, request_id=request, at=NOW
        )
    with pytest.raises(ClassRequest.DoesNotExist):
        decline_request(request_id=request, site_id=other_site.pk, words="No.", by="X", at=NOW)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"weekdays": (), "session_ids": ()}, "Tick a session"),
        ({"group_id": None}, "Say which class"),
    ],
)
def test_a_request_without_a_day_or_a_class_is_refused(
    site: Site, changes: dict[str, object], words: str
) -> None:
    with pytest.raises(ClassRefused, match=words):
        ask(site, **changes)


def test_a_session_that_is_called_off_is_not_offered(site: Site) -> None:
    request = ask(site)
    Session.objects.filter(code="S06").update(state=Session.State.CALLED_OFF)

    with pytest.raises(ClassRefused, match="takes nobody any more"):
        offer(site, request)
