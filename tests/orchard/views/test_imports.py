"""Import pages: from a file to saved trees, and everything that is refused on the way."""

from html import unescape
from http import HTTPStatus
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from orchard.models import Tree, Upload
from orchard.services.import_trees import LARGEST_BYTES
from tests.signed_in import COORDINATOR, LEAD, LIAISON, SITE, STRANGER, VOLUNTEER, SignIn

IMPORT = f"{SITE}/place/import"
FILE = (
    "Tree no;Kind;East;North;Crown spread (ft)\n"
    "T01;apple;4,6;8,7;16\n"
    "T40;<b>pear</b>;8;12,5;12\n"
    "T41;plum;55;80;12\n"
)


def send(client: Client, text: str | bytes = FILE, noun: str = "tree", name: str = "t.csv") -> str:
    data = text if isinstance(text, bytes) else text.encode()
    answer = client.post(
        f"{IMPORT}/", {"file": SimpleUploadedFile(name, data), "noun": noun}, follow=True
    )
    assert answer.status_code == HTTPStatus.OK
    return unescape(answer.content.decode())


def last_upload() -> str:
    return f"{IMPORT}/{Upload.objects.latest('at').pk}"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def test_a_file_goes_by_columns_and_changes_to_saved(client: Client) -> None:
    columns = send(client)
    assert "What the columns mean" in columns
    assert "parted by semicolons, with a decimal comma. 3 rows" in columns
    assert "Supposed: m." in columns
    at = last_upload()

    answer = client.get(f"{at}/changes/")
    changes = answer.content.decode()
    assert "1 to add, 1 to change, 0 left as they are" in changes
    assert "off the site" in changes
    assert "&lt;b&gt;pear&lt;/b&gt;" in changes
    assert "2.4 m" in changes
    assert "2.438 m" in changes
    assert not Tree.objects.filter(tag="T40").exists()

    seal = answer.context["form"].initial["seal"]
    saved = client.post(f"{at}/save/", {"seal": seal}, follow=True)
    assert saved.redirect_chain == [(f"{at}/saved/", 302)]
    assert "1 row could not be used and was left out" in saved.content.decode()
    assert Tree.objects.get(tag="T40").canopy_radius_m == 1.829

    again = client.post(f"{at}/save/", {"seal": seal}, follow=True)
    assert again.redirect_chain == saved.redirect_chain
    assert Tree.objects.filter(tag="T40").count() == 1
    assert client.get(f"{at}/", follow=True).redirect_chain == [(f"{at}/saved/", 302)]
    assert client.get(f"{at}/changes/", follow=True).redirect_chain == [(f"{at}/saved/", 302)]


def test_a_column_can_be_taken_for_something_else(client: Client) -> None:
    send(client, "a,b,x,y\nT40,pear,8,12.5\n")
    at = last_upload()
    boxes = {f"tree-unit_{n}": "" for n in range(4)}
    boxes |= {"tree-meaning_0": "", "tree-meaning_1": "species"}
    boxes |= {
        "tree-meaning_2": "distance east of the peg",
        "tree-meaning_3": "distance north of the peg",
    }

    without = client.post(f"{at}/", boxes)
    assert "No column holds the tag" in without.content.decode()

    done = client.post(f"{at}/", {**boxes, "tree-meaning_0": "tag"}, follow=True)
    assert done.redirect_chain == [(f"{at}/changes/", 302)]
    assert "1 to add" in done.content.decode()


def test_looking_at_changes_before_the_columns_are_known_leads_back(client: Client) -> None:
    send(client, "a,b\nT40,pear\n")
    at = last_upload()

    answer = client.get(f"{at}/changes/", follow=True)

    assert answer.redirect_chain == [(f"{at}/", 302)]
    assert "No column holds the tag" in answer.content.decode()


def test_a_made_up_seal_saves_nothing(client: Client) -> None:
    send(client)
    at = last_upload()

    answer = client.post(f"{at}/save/", {"seal": "made-up"}, follow=True)

    assert "Look at the changes again" in answer.content.decode()
    assert not Tree.objects.filter(tag="T40").exists()


@pytest.mark.parametrize(
    ("data", "name", "sentence"),
    [
        (b"", "t.csv", "The file is empty"),
        (b"PK\x03\x04", "t.xlsx", "workbook"),
        (b"x" * (LARGEST_BYTES + 1), "t.csv", "at most 4 MB"),
        (b"{]", "t.geojson", "cannot be read as JSON"),
    ],
)
def test_a_file_that_is_not_taken(client: Client, data: bytes, name: str, sentence: str) -> None:
    text = send(client, data, name=name)

    assert "Put this right first" in text
    assert sentence in text


def test_no_file_at_all(client: Client) -> None:
    assert "Choose a file." in client.post(f"{IMPORT}/", {"noun": "tree"}).content.decode()


@pytest.mark.parametrize("email", [VOLUNTEER, LEAD, LIAISON, STRANGER])
def test_others_do_not_find_these_pages(sign_in: SignIn, email: str) -> None:
    send(sign_in(COORDINATOR))
    at = last_upload()
    other = sign_in(email)

    for path in (f"{IMPORT}/", f"{at}/", f"{at}/changes/", f"{at}/saved/", f"{SITE}/place/"):
        assert other.get(path).status_code == HTTPStatus.NOT_FOUND
    assert other.post(f"{at}/save/", {"seal": "x"}).status_code == HTTPStatus.NOT_FOUND
    for name in ("trees.csv", "areas.csv", "place.geojson"):
        assert other.get(f"{SITE}/place/files/{name}").status_code == HTTPStatus.NOT_FOUND


def test_anothers_upload_is_not_found_even_by_its_address(sign_in: SignIn) -> None:
    send(sign_in(COORDINATOR))
    at = last_upload()
    elsewhere = at.replace(SITE, "/elsewhere")

    assert sign_in(STRANGER).get(f"{elsewhere}/changes/").status_code == HTTPStatus.NOT_FOUND
    assert sign_in(COORDINATOR).get(f"{IMPORT}/{uuid4()}/").status_code == HTTPStatus.NOT_FOUND


def test_saving_is_by_post_alone_and_guarded(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)
    send(client)
    at = last_upload()

    assert client.get(f"{at}/save/").status_code == HTTPStatus.METHOD_NOT_ALLOWED
    guarded = sign_in(COORDINATOR, checks_csrf=True)
    assert guarded.post(f"{at}/save/", {"seal": "x"}).status_code == HTTPStatus.FORBIDDEN


def test_strangers_are_asked_to_sign_in() -> None:
    answer = Client().get(f"{IMPORT}/")
    assert answer.headers["Location"].startswith("/account/login/code/")
