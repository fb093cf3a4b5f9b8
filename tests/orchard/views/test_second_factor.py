"""The second factor: asked of coordinators on a public server, single-use, throttled.

Codes are reckoned here by RFC 6238 (TOTP) over RFC 4226 (HOTP), apart from the library.
"""

import base64
import hashlib
import hmac
import re
import struct
import time
from datetime import timedelta

import pytest
import time_machine
from django.core import mail
from django.core.cache import cache
from django.test import Client
from pytest_django import Settings

from tests.signed_in import COORDINATOR, LEAD, NOW, SITE, VOLUNTEER, SignIn

PEOPLE = f"{SITE}/people/"
FACTOR = "/account/second-factor/"

pytestmark = pytest.mark.usefixtures("sign_in")


@pytest.fixture(autouse=True)
def a_public_server(settings: Settings) -> None:
    """Ask for the second factor, as with ORCHARD_HTTPS, and forget other tests' tries."""
    settings.SECOND_FACTOR_REQUIRED = True
    cache.clear()


def reckon_code(secret: str, at: float) -> str:
    """RFC 6238, 4: HOTP (RFC 4226, 5.3) of the number of 30-second steps, six digits."""
    digest = hmac.new(
        base64.b32decode(secret), struct.pack(">Q", int(at) // 30), hashlib.sha1
    ).digest()
    start = digest[-1] & 15
    number = struct.unpack(">I", digest[start : start + 4])[0] & 0x7FFFFFFF
    return f"{number % 1_000_000:06d}"


def test_the_reckoning_of_this_test_is_the_standards() -> None:
    """RFC 6238, appendix B, SHA-1: the last six of the eight digits printed there."""
    secret = base64.b32encode(b"12345678901234567890").decode()
    printed = {59: "94287082", 1111111109: "07081804", 1234567890: "89005924"}

    assert {at: reckon_code(secret, at) for at in printed} == {
        at: code[-6:] for at, code in printed.items()
    }


def enter_mailed_code(client: Client, email: str):
    client.post("/account/login/code/", {"email": email})
    code = re.search(r"^([0-9A-Z-]{5,12})$", mail.outbox[-1].body, re.MULTILINE)
    assert code is not None
    return client.post("/account/login/code/confirm/", {"code": code[1]}, follow=True)


@pytest.fixture
def fresh() -> Client:
    """The coordinator, signed in by the mailed code this moment."""
    client = Client()
    enter_mailed_code(client, COORDINATOR)
    return client


def set_up(client: Client) -> str:
    page = client.get(f"{FACTOR}app/").content.decode()
    secret = re.search(r"<code>([A-Z2-7]{32})</code>", page)
    assert secret is not None
    answer = client.post(f"{FACTOR}app/", {"code": reckon_code(secret[1], time.time())})
    assert answer.headers["Location"] == f"{FACTOR}spare-codes/"
    return secret[1]


def later(seconds: int):
    return time_machine.travel(NOW + timedelta(seconds=seconds), tick=False)


def test_a_coordinator_is_led_to_set_one_up_before_any_page(fresh: Client) -> None:
    answer = fresh.get(PEOPLE, follow=True)

    assert answer.request["PATH_INFO"] == FACTOR
    assert "signs in with a second factor here" in answer.content.decode()
    assert fresh.post(f"{SITE}/roles/", {"email": "a@example.org", "kind": "reader"}).url == FACTOR
    assert fresh.get("/sites/start/").url == FACTOR


def test_with_one_set_up_the_pages_open(fresh: Client) -> None:
    set_up(fresh)

    assert fresh.get(PEOPLE).status_code == 200


@pytest.mark.parametrize(("who", "page"), [(VOLUNTEER, "sessions/"), (LEAD, "seasons/2027/")])
def test_nobody_else_is_asked(sign_in: SignIn, who: str, page: str) -> None:
    assert sign_in(who).get(f"{SITE}/{page}").status_code == 200


def test_it_is_optional_where_it_is_not_required(sign_in: SignIn, settings: Settings) -> None:
    settings.SECOND_FACTOR_REQUIRED = False

    assert sign_in(COORDINATOR).get(PEOPLE).status_code == 200


def test_the_mailed_code_alone_signs_nobody_in_who_has_one(fresh: Client) -> None:
    secret = set_up(fresh)
    other = Client()
    with later(60):
        answer = enter_mailed_code(other, COORDINATOR)
        assert answer.request["PATH_INFO"] == f"{FACTOR}sign-in/"
        assert "_auth_user_id" not in other.session
        assert other.get(PEOPLE).status_code == 302

        other.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time())})

        assert other.get(PEOPLE).status_code == 200


def test_a_code_of_the_app_serves_once(fresh: Client) -> None:
    secret = set_up(fresh)
    with later(60):
        code = reckon_code(secret, time.time())
        signed_in = []
        for _ in range(2):
            client = Client()
            enter_mailed_code(client, COORDINATOR)
            client.post(f"{FACTOR}sign-in/", {"code": code})
            signed_in.append("_auth_user_id" in client.session)

    assert signed_in == [True, False]


def test_a_code_of_the_step_before_is_too_old(fresh: Client) -> None:
    secret = set_up(fresh)
    client = Client()
    with later(90):
        enter_mailed_code(client, COORDINATOR)
        page = client.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time() - 30)})

    assert "not right, or was used before" in page.content.decode()
    assert "_auth_user_id" not in client.session


def test_a_spare_code_serves_once(fresh: Client) -> None:
    set_up(fresh)
    page = fresh.get(f"{FACTOR}spare-codes/").content.decode()
    codes = re.findall(r"<li><code>(\d+)</code></li>", page)
    assert len(codes) == 10
    signed_in = []
    for _ in range(2):
        client = Client()
        enter_mailed_code(client, COORDINATOR)
        client.post(f"{FACTOR}sign-in/", {"code": codes[0]})
        signed_in.append("_auth_user_id" in client.session)

    assert signed_in == [True, False]


def test_guessing_is_stopped_even_for_the_right_code_and_not_for_ever(fresh: Client) -> None:
    """ASVS 5.0, 6.3.1: guesses are throttled, and the account is not locked for good."""
    secret = set_up(fresh)
    client = Client()
    with later(60):
        enter_mailed_code(client, COORDINATOR)
        for _ in range(5):
            client.post(f"{FACTOR}sign-in/", {"code": "000000"})
        client.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time())})
        assert "_auth_user_id" not in client.session

    with later(60 + 301):
        again = Client()
        enter_mailed_code(again, COORDINATOR)
        again.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time())})
        assert "_auth_user_id" in again.session


def test_the_code_that_set_the_app_up_is_used_up(fresh: Client) -> None:
    secret = set_up(fresh)
    client = Client()
    enter_mailed_code(client, COORDINATOR)
    client.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time())})

    assert "_auth_user_id" not in client.session


def test_pressing_on_too_often_is_answered_with_a_page_of_ours(fresh: Client) -> None:
    set_up(fresh)
    with later(301):
        answers = [fresh.post(f"{FACTOR}again/", {"code": "000000"}) for _ in range(11)]

    assert [answer.status_code for answer in answers] == [200] * 10 + [429]
    assert "Too many tries" in answers[-1].content.decode()


def test_who_has_an_app_proves_it_again_before_ending_it(fresh: Client) -> None:
    secret = set_up(fresh)
    with later(301):
        assert fresh.post(f"{FACTOR}app/end/").url.startswith(f"{FACTOR}again/")
        fresh.post(f"{FACTOR}again/", {"code": reckon_code(secret, time.time())})
        fresh.post(f"{FACTOR}app/end/")

        assert fresh.get(PEOPLE).url == FACTOR


@pytest.fixture
def keeper() -> Client:
    """A keeper of the records with a password besides, signed in by the mailed code."""
    from orchard.models import User

    User.objects.create_superuser("keeper@example.org", password="a long password of words")
    client = Client()
    enter_mailed_code(client, "keeper@example.org")
    return client


RECORDS = ["", "orchard/user/", "scheduling/person/", "mfa/authenticator/", "password_change/"]


@pytest.mark.parametrize("shut", RECORDS)
def test_the_records_stay_shut_to_a_keeper_without_one(keeper: Client, shut: str) -> None:
    answer = keeper.get(f"/admin/{shut}", follow=True)

    assert answer.request["PATH_INFO"] == FACTOR
    assert "keeps the records" in answer.content.decode()
    set_up(keeper)
    assert keeper.get(f"/admin/{shut}").status_code == 200


def test_the_records_have_no_door_of_their_own(keeper: Client, sign_in: SignIn) -> None:
    """The framework's own sign-in page takes a password: nobody ever sees it here."""
    secret = set_up(keeper)
    words = {"username": "keeper@example.org", "password": "a long password of words"}
    stranger = Client()
    for answer in (stranger.get("/admin/login/"), stranger.post("/admin/login/", words)):
        assert answer.url.startswith("/account/login/code/?next=")
    from orchard.models import User

    User.objects.filter(email=VOLUNTEER).update(is_staff=True)
    staff = sign_in(VOLUNTEER)
    for answer in (staff.get("/admin/login/"), staff.post("/admin/login/", words)):
        assert answer.status_code == 404
    assert int(staff.session["_auth_user_id"]) == User.objects.get(email=VOLUNTEER).pk

    with later(60):
        other = Client()
        assert (
            enter_mailed_code(other, "keeper@example.org")
            .request["PATH_INFO"]
            .endswith("/sign-in/")
        )
        assert other.get("/admin/").url.startswith("/admin/login/")
        other.post(f"{FACTOR}sign-in/", {"code": reckon_code(secret, time.time())})
        assert other.get("/admin/").status_code == 200
        assert other.get("/admin/login/").url == "/admin/"


def test_nobodys_secret_is_shown_in_the_records_and_a_lost_one_can_be_deleted(
    keeper: Client,
) -> None:
    from allauth.mfa.models import Authenticator

    secret = set_up(keeper)
    row = Authenticator.objects.get(type=Authenticator.Type.TOTP)
    address = f"/admin/mfa/authenticator/{row.pk}/"

    assert secret not in keeper.get(f"{address}change/").content.decode()
    assert keeper.get("/admin/mfa/authenticator/add/").status_code == 403
    keeper.post(f"{address}delete/", {"post": "yes"})
    assert not Authenticator.objects.filter(pk=row.pk).exists()


PAGES = ["", "app/", "spare-codes/", "spare-codes/new/", "passkeys/", "passkeys/add/", "app/end/"]


def test_its_pages_keep_the_content_policy(fresh: Client) -> None:
    """Script comes from this server's files; what stands in the page is data (JSON)."""
    seen = [fresh.get(f"{FACTOR}app/")]
    set_up(fresh)
    seen += [fresh.get(f"{FACTOR}{page}") for page in PAGES if page != "app/"]
    waiting = Client()
    enter_mailed_code(waiting, COORDINATOR)
    seen.append(waiting.get(f"{FACTOR}sign-in/"))

    for answer in seen:
        text = answer.content.decode()
        assert answer.status_code == 200
        assert 'lang="en"' in text
        assert "unsafe-inline" not in answer.headers["Content-Security-Policy"]
        assert not re.search(r"\son\w+=|\sstyle=|<style", text)
        for opening in re.findall(r"<script[^>]*>", text):
            assert 'src="/static/' in opening or 'type="application/json"' in opening


def test_a_passkey_is_offered_to_be_made_for_this_host(fresh: Client) -> None:
    """WebAuthn Level 2, 5.4: the relying party, a challenge of 16 bytes or more (13.4.3)."""
    page = fresh.get(f"{FACTOR}passkeys/add/")

    options = page.context["js_data"]["creation_options"]["publicKey"]
    challenge = base64.urlsafe_b64decode(options["challenge"] + "==")
    assert options["rp"]["id"] == "testserver"
    assert len(challenge) >= 16
    assert fresh.post(f"{FACTOR}passkeys/add/", {"credential": "{}"}).status_code == 200


def test_signing_out_kills_the_session_and_signing_in_changes_it(settings: Settings) -> None:
    """ASVS 5.0, 7.2.4 and 7.4.1."""
    client = Client()
    client.get("/account/login/code/")
    before = client.session.session_key
    enter_mailed_code(client, VOLUNTEER)
    signed_in = client.cookies["sessionid"].value
    assert signed_in != before
    client.post("/account/logout/")

    stolen = Client()
    stolen.cookies["sessionid"] = signed_in
    assert stolen.get(f"{SITE}/sessions/").status_code == 302


def test_a_closed_account_is_out_at_its_next_request(fresh: Client) -> None:
    """ASVS 5.0, 7.4.2."""
    from orchard.models import User

    set_up(fresh)
    User.objects.filter(email=COORDINATOR).update(is_active=False)

    assert fresh.get(PEOPLE).url.startswith("/account/login/code/")
