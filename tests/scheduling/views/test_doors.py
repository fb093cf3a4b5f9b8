"""Who gets in where: each role sees only its own, and everybody else sees no page at all."""

from http import HTTPStatus

import pytest
from django.test import Client

from tests.signed_in import (
    COORDINATOR,
    GUARDIAN,
    LEAD,
    LIAISON,
    OTHER_LIAISON,
    S02,
    SEASON,
    SITE,
    STRANGER,
    VOLUNTEER,
    SignIn,
)

EVERYBODY = {COORDINATOR, LEAD, VOLUNTEER, GUARDIAN, LIAISON, OTHER_LIAISON}
COMING = {COORDINATOR, LEAD, VOLUNTEER, GUARDIAN}

READABLE = {
    f"{SITE}/plans/TY-27/": {COORDINATOR},
    f"{SITE}/plans/TY-27/changes/": {COORDINATOR},
    f"{SEASON}/": {COORDINATOR, LEAD},
    f"{S02}/roster/": {COORDINATOR, LEAD},
    f"{SITE}/sessions/": EVERYBODY,
    f"{S02}/": EVERYBODY,
    f"{S02}/session.ics": EVERYBODY,
    f"{SITE}/rule-book/": EVERYBODY,
    f"{SITE}/my-sessions/": COMING,
    f"{SITE}/classes/": {LIAISON, OTHER_LIAISON},
    f"{SITE}/classes/SLUICE-7/check/": {LIAISON},
    f"{SITE}/rule-sets/": {COORDINATOR},
    f"{SITE}/rule-sets/SITE-1/1/": {COORDINATOR},
    f"{SITE}/rule-sets/SITE-1/1/change/?figure=company.adults_in_sight": {COORDINATOR},
    f"{S02}/roster/fixed/": {COORDINATOR},
    f"{S02}/weather/": {COORDINATOR, LEAD},
    f"{S02}/ground/": {COORDINATOR, LEAD},
    f"{S02}/roster/document/": {COORDINATOR},
    f"{S02}/roster/document/problem.json": {COORDINATOR},
    f"{SEASON}/changes/": {COORDINATOR},
    f"{S02}/roster/chance/": {COORDINATOR},
    f"{S02}/roster/better/": {COORDINATOR},
    f"{S02}/papers/": {COORDINATOR, LEAD},
    f"{SITE}/people/": {COORDINATOR},
    f"{SITE}/people/add/": {COORDINATOR},
    f"{SITE}/mail/": {COORDINATOR},
    f"{SITE}/my-people/": COMING,
    f"{SITE}/calendar/": EVERYBODY,
    f"{SEASON}/season.ics": EVERYBODY,
    f"{SEASON}/document/": {COORDINATOR},
    f"{SEASON}/document/problem.json": {COORDINATOR},
}

WRITABLE = {
    f"{SITE}/plans/TY-27/publish/": {COORDINATOR},
    f"{SEASON}/plan/": {COORDINATOR},
    f"{S02}/roster/propose/": {COORDINATOR},
    f"{S02}/roster/publish/": {COORDINATOR},
    f"{S02}/roster/search/stop/": {COORDINATOR},
    f"{S02}/roster/search/here/": {COORDINATOR},
    f"{S02}/roster/fixed/release/": {COORDINATOR},
    f"{SEASON}/search/stop/": {COORDINATOR},
    f"{SEASON}/search/here/": {COORDINATOR},
    f"{SEASON}/plan/take/": {COORDINATOR},
    f"{SEASON}/plan/set-aside/": {COORDINATOR},
    f"{S02}/roster/document/take/": {COORDINATOR},
    f"{S02}/roster/repair/keep/": {COORDINATOR, LEAD},
    f"{S02}/roster/better/keep/": {COORDINATOR},
    f"{SEASON}/document/take/": {COORDINATOR},
    f"{S02}/roster/waive/confirm/": {COORDINATOR, LEAD},
    f"{S02}/roster/waive/withdraw/": {COORDINATOR},
    f"{SITE}/rule-sets/adopt/": {COORDINATOR},
    f"{SITE}/rule-sets/end/": {COORDINATOR},
    f"{S02}/sign-up/": COMING,
    f"{S02}/withdraw/": COMING,
    f"{SITE}/classes/SLUICE-7/sign-up/": {LIAISON},
}


def test_pages_open_to_their_roles_only(sign_in: SignIn) -> None:
    found = {
        (address, who): sign_in(who).get(address).status_code
        for address in READABLE
        for who in sorted({*EVERYBODY, STRANGER})
    }

    wanted = {
        (address, who): HTTPStatus.OK if who in READABLE[address] else HTTPStatus.NOT_FOUND
        for address, who in found
    }
    assert found == wanted


def test_writing_addresses_are_posted_to_only(sign_in: SignIn) -> None:
    found = {
        (address, who): sign_in(who).get(address).status_code
        for address in WRITABLE
        for who in sorted({*EVERYBODY, STRANGER} - ({OTHER_LIAISON}))
    }

    wanted = {
        (address, who): (
            HTTPStatus.METHOD_NOT_ALLOWED if who in WRITABLE[address] else HTTPStatus.NOT_FOUND
        )
        for address, who in found
    }
    assert found == wanted


@pytest.mark.parametrize("address", sorted(WRITABLE))
def test_a_wrong_role_changes_nothing_by_posting(sign_in: SignIn, address: str) -> None:
    outsiders = {*EVERYBODY, STRANGER} - WRITABLE[address] - {OTHER_LIAISON}

    statuses = {who: sign_in(who).post(address).status_code for who in sorted(outsiders)}

    assert set(statuses.values()) == {HTTPStatus.NOT_FOUND}


@pytest.mark.parametrize("address", sorted(WRITABLE))
def test_posting_without_the_forms_token_is_refused(sign_in: SignIn, address: str) -> None:
    client = sign_in(sorted(WRITABLE[address])[0], checks_csrf=True)

    answer = client.post(address)

    assert answer.status_code == HTTPStatus.FORBIDDEN
    assert "Nothing was saved" in answer.content.decode()


def test_a_liaison_does_not_reach_another_schools_class(sign_in: SignIn) -> None:
    answer = sign_in(OTHER_LIAISON).post(f"{SITE}/classes/SLUICE-7/sign-up/", {"session": 1})

    assert answer.status_code == HTTPStatus.NOT_FOUND


@pytest.mark.usefixtures("sign_in")
@pytest.mark.parametrize("address", [f"{SEASON}/", f"{SITE}/nothing-here/", "/no-such-site/plans/"])
def test_signed_out_people_learn_nothing_but_the_way_in(address: str) -> None:
    answer = Client().get(address, follow=False)

    assert answer.status_code in (HTTPStatus.FOUND, HTTPStatus.NOT_FOUND)
    if answer.status_code == HTTPStatus.FOUND:
        assert answer.headers["Location"] == f"/account/login/code/?next={address}"


def test_an_ended_role_opens_nothing(sign_in: SignIn) -> None:
    from orchard.models import Role
    from tests.signed_in import NOW

    Role.objects.filter(user__email=LEAD).update(ended_at=NOW)

    assert sign_in(LEAD).get(f"{SEASON}/").status_code == HTTPStatus.NOT_FOUND


def test_a_superuser_without_a_role_sees_the_records_but_no_site(sign_in: SignIn) -> None:
    from orchard.models import User

    User.objects.create_superuser("keeper@example.org")
    keeper = sign_in("keeper@example.org")

    assert keeper.get(f"{SEASON}/").status_code == HTTPStatus.NOT_FOUND
    assert keeper.get("/admin/").status_code == HTTPStatus.OK


def test_staff_who_are_no_superuser_do_not_reach_the_records(sign_in: SignIn) -> None:
    from orchard.models import User

    User.objects.create_user("clerk@example.org", is_staff=True)

    assert sign_in("clerk@example.org").get("/admin/").status_code != HTTPStatus.OK
    assert sign_in(COORDINATOR).get("/admin/").status_code == HTTPStatus.FOUND
