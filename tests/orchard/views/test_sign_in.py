"""Signing in: one question, a mailed code, and the same answer for everybody."""

import re
from datetime import timedelta
from http import HTTPStatus

import pytest
import time_machine
from django.core import mail
from django.core.cache import cache
from django.test import Client

from tests.signed_in import NOW, VOLUNTEER, SignIn

pytestmark = pytest.mark.usefixtures("sign_in")


@pytest.fixture(autouse=True)
def no_earlier_tries() -> None:
    """Forget the rate limits' counts of other tests."""
    cache.clear()


def test_the_login_address_asks_for_nothing_but_an_address() -> None:
    answer = Client().get("/account/login/?next=/x/", follow=True)

    text = answer.content.decode()
    assert answer.request["PATH_INFO"] == "/account/login/code/"
    assert 'type="email"' in text
    assert 'type="password"' not in text
    assert 'name="next" value="/x/"' in text


def test_a_known_address_gets_a_code_that_signs_in() -> None:
    client = Client()
    client.post("/account/login/code/", {"email": VOLUNTEER})
    (sent,) = mail.outbox
    code = re.search(r"^([0-9A-Z-]{5,12})$", sent.body, re.MULTILINE)
    assert code is not None

    answer = client.post("/account/login/code/confirm/", {"code": code[1]}, follow=True)

    assert sent.to == [VOLUNTEER]
    assert answer.request["PATH_INFO"] == "/"
    assert "Traverser Yard Orchard" in answer.content.decode()


def test_whoever_mistyped_the_address_writes_another() -> None:
    client = Client()
    client.post("/account/login/code/", {"email": "volunter@example.org"})
    asked = client.get("/account/login/code/confirm/").content.decode()
    assert 'action="/account/logout/"' in asked
    assert 'name="next" value="/account/login/code/"' in asked

    again = client.post("/account/logout/", {"next": "/account/login/code/"}, follow=True)

    assert again.request["PATH_INFO"] == "/account/login/code/"
    assert 'type="email"' in again.content.decode()
    client.post("/account/login/code/", {"email": VOLUNTEER})
    assert mail.outbox[-1].to == [VOLUNTEER]


def test_a_wrong_code_does_not_sign_in() -> None:
    client = Client()
    client.post("/account/login/code/", {"email": VOLUNTEER})

    text = client.post("/account/login/code/confirm/", {"code": "WRONG1"}).content.decode()

    assert "Put this right first" in text
    assert "_auth_user_id" not in client.session


def test_a_known_and_an_unknown_address_get_the_same_answer() -> None:
    pages = []
    for address in (VOLUNTEER, "nobody@example.org"):
        client = Client()
        first = client.post("/account/login/code/", {"email": address})
        assert first.status_code == HTTPStatus.FOUND
        text = client.get(first.headers["Location"]).content.decode()
        text = re.sub(r'name="csrfmiddlewaretoken" value="\w+"', "", text)
        pages.append((first.headers["Location"], text.replace(address, "…")))

    assert pages[0] == pages[1]


def test_nobody_makes_an_account_alone() -> None:
    client = Client()

    page = client.get("/account/closed/").content.decode()
    client.post("/account/closed/", {"email": "new@example.org"})

    from orchard.models import User

    assert "The coordinator adds people" in page
    assert not User.objects.filter(email="new@example.org").exists()


@pytest.mark.parametrize(
    "address",
    [
        "/account/password/reset/",
        "/account/password/change/",
        "/account/email/",
        "/account/signup/",
    ],
)
def test_the_librarys_password_pages_have_no_address(address: str) -> None:
    assert Client().get(address).status_code == HTTPStatus.NOT_FOUND


def test_signing_out_takes_a_press_not_a_link(sign_in: SignIn) -> None:
    client = sign_in(VOLUNTEER)

    client.get("/account/logout/")
    assert "_auth_user_id" in client.session
    client.post("/account/logout/")
    assert "_auth_user_id" not in client.session


def test_a_stranger_reads_what_this_is_and_how_to_sign_in() -> None:
    text = Client().get("/").content.decode()

    assert "A community orchard stands on compacted fill." in text
    assert 'href="/account/login/code/"' in text


def ask_for_a_code(client: Client, email: str = VOLUNTEER) -> str:
    client.post("/account/login/code/", {"email": email})
    code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
    assert code is not None
    return code[1]


def enter(client: Client, code: str) -> bool:
    client.post("/account/login/code/confirm/", {"code": code})
    return "_auth_user_id" in client.session


@pytest.mark.parametrize(("seconds", "holds"), [(599, True), (601, False)])
def test_a_code_holds_for_ten_minutes(seconds: int, holds: bool) -> None:
    client = Client()
    code = ask_for_a_code(client)

    with time_machine.travel(NOW + timedelta(seconds=seconds), tick=False):
        assert enter(client, code) is holds


def test_a_code_serves_once() -> None:
    client = Client()
    code = ask_for_a_code(client)

    assert enter(client, code)
    client.post("/account/logout/")
    assert not enter(client, code)


def test_a_code_serves_only_where_it_was_asked_for() -> None:
    code = ask_for_a_code(Client())
    elsewhere = Client()
    elsewhere.post("/account/login/code/", {"email": VOLUNTEER})

    assert not enter(elsewhere, code)


def test_three_wrong_codes_end_the_right_one() -> None:
    """ASVS 5.0, 6.3.1."""
    client = Client()
    code = ask_for_a_code(client)
    for _ in range(3):
        assert not enter(client, "WRONG1")

    assert not enter(client, code)


def test_asking_too_often_is_refused_alike_for_known_and_unknown() -> None:
    refusals = []
    for address in (VOLUNTEER, "nobody@example.org"):
        answers = [Client().post("/account/login/code/", {"email": address}) for _ in range(4)]
        assert [answer.status_code for answer in answers] == [302, 302, 302, 200]
        text = re.sub(r'value="\w{64}"', "", answers[-1].content.decode())
        refusals.append(text.replace(address, "…"))

    assert len(mail.outbox) == 6
    assert "Put this right first" in refusals[0]
    assert refusals[0] == refusals[1]


def test_tries_are_counted_where_every_server_process_sees_them() -> None:
    """A cache in one process's memory would give each of several workers its own count."""
    from django.conf import settings
    from django.core.cache import caches
    from django.core.cache.backends.filebased import FileBasedCache

    (kept,) = settings.CACHES.values()
    another_process = FileBasedCache(str(kept["LOCATION"]), {})
    caches["default"].set("counted", 1, 5)

    assert another_process.get("counted") == 1
