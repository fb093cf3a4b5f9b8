"""Growth's pages: a sheet written down, the trend, worked trees against others, who may."""

from datetime import date
from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import GrowthReading, Task, Tree, User
from orchard.queries.growth import find_worked_trees, load_growth_page
from tests.signed_in import COORDINATOR, LEAD, SITE, STRANGER, VOLUNTEER, SignIn

GROWTH = f"{SITE}/ground/growth"
TARGET = "apple, bearing"


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(answer) -> str:
    return unescape(answer.content.decode())


def write(client: Client, on: str = "2027-01-30", **boxes: str):
    said = {"on": on, "target": TARGET, **boxes}
    return client.post(f"{GROWTH}/record/?area=A", said, follow=True)


@pytest.mark.parametrize("address", ["/", "/record/?area=A", "/trees/T01/"])
def test_doors(sign_in: SignIn, address: str) -> None:
    answers = {
        who: sign_in(who).get(f"{GROWTH}{address}").status_code
        for who in (COORDINATOR, LEAD, VOLUNTEER, STRANGER)
    }
    ok, closed = HTTPStatus.OK, HTTPStatus.NOT_FOUND
    assert answers == {COORDINATOR: ok, LEAD: ok, VOLUNTEER: closed, STRANGER: closed}


def test_a_sheet_of_many_trees_is_kept_at_once(client: Client) -> None:
    text = read(write(client, girth_0="31.4", shoots_0="30 31,5 33; 35 36 34", leaf_0="pale",
                      girth_2="12 in", fruit_2="many"))  # fmt: skip

    assert "2 trees on record." in text
    first = GrowthReading.objects.get(tree__tag="T01")
    assert first.shoots_cm == [30, 31.5, 33, 35, 36, 34]
    assert (first.girth_cm, first.leaf, first.by.email) == (31.4, "pale", COORDINATOR)
    third = GrowthReading.objects.exclude(pk=first.pk).get()
    assert third.girth_cm == pytest.approx(30.48)  # 12 in at 2.54 cm
    assert (third.fruit, third.shoots_cm) == ("many", [])
    assert "on target" in text  # University of Tennessee: 12 to 14 in, 30 to 36 cm


def test_the_same_sheet_again_changes_nothing_and_a_correction_wins(client: Client) -> None:
    for girth in ("31.4", "31.4", "31.8"):
        write(client, girth_0=girth)

    assert [row.girth_cm for row in GrowthReading.objects.all()] == [31.8]


def test_the_trend_of_a_tree(client: Client) -> None:
    write(client, on="2026-01-30", girth_0="12", shoots_0="20 22 24 26 28 30")
    write(client, on="2027-01-30", girth_0="13", shoots_0="30 32 34 36 38 40")

    text = read(client.get(f"{GROWTH}/trees/T01/"))
    assert "17.4 %" in text  # 12 -> 13 cm of girth: derived, (13² − 12²) / 12²
    assert "+10.0" in text
    whole = read(client.get(f"{GROWTH}/"))
    assert "17.4 % since 2026" in whole


def test_a_stem_that_grew_thinner_is_kept_and_asked_about(client: Client) -> None:
    write(client, on="2026-01-30", girth_0="32")
    text = read(write(client, girth_0="30"))

    assert "a girth of 30 cm is less than 32 cm on 30 January 2026" in text
    assert GrowthReading.objects.count() == 2


@pytest.mark.parametrize(
    ("boxes", "sentence"),
    [
        ({}, "Write down one tree at least."),
        ({"shoots_0": "31 many"}, "“many” is no length. Write the shoots in cm"),
        ({"shoots_0": "31 310"}, "A shoot of 310 cm (122 in) cannot be"),
        ({"girth_0": "2 inn"}, "for example 2.5 m, 50 mm, 2 in"),
        ({"girth_0": "700"}, "outside what can be"),
        ({"girth_0": "30", "on": "2027-03-01"}, "still to come"),
    ],
)
def test_what_cannot_be_is_answered_by_a_sentence(
    client: Client, boxes: dict[str, str], sentence: str
) -> None:
    assert sentence in read(write(client, **boxes))
    assert not GrowthReading.objects.exists()


def test_a_us_person_writes_inches(client: Client) -> None:
    User.objects.filter(email=COORDINATOR).update(units="us")

    text = read(write(client, girth_0="12", shoots_0="12 13 14 12 13 14"))

    row = GrowthReading.objects.get()
    assert row.girth_cm == pytest.approx(30.48)
    assert row.shoots_cm[0] == pytest.approx(30.48)
    assert "Middle shoot, in" in text
    assert ">13<" in text


def test_worked_trees_are_those_with_a_task_done(client: Client) -> None:
    site_id = Tree.objects.get(tag="T01", site__slug="traverser-yard").site_id
    assert not find_worked_trees(site_id)
    task = Task.objects.filter(kind="mulch").order_by("pk").first()
    Task.objects.filter(pk=task.pk).update(state=Task.State.DONE)
    measured = Task.objects.filter(kind="measure").order_by("pk").first()
    Task.objects.filter(pk=measured.pk).update(state=Task.State.DONE)

    assert find_worked_trees(site_id) == frozenset(task.content["trees"])
    write(client, shoots_0="30 31 32 33 34 35")
    comparison = load_growth_page(site_id).comparison
    assert comparison.worked + comparison.others == 1


def test_a_wrong_reading_is_taken_away_and_only_of_this_site(
    client: Client, sign_in: SignIn
) -> None:
    write(client, girth_0="31.4")
    row = GrowthReading.objects.get()
    path = f"/ground/growth/trees/T01/{row.pk}/take-away/"

    assert sign_in(STRANGER).post(f"/elsewhere{path}").status_code == HTTPStatus.NOT_FOUND
    assert sign_in(LEAD).post(f"{SITE}{path}").status_code == HTTPStatus.NOT_FOUND
    assert client.post(f"{SITE}{path}").status_code == HTTPStatus.FOUND
    assert not GrowthReading.objects.exists()


def test_an_unknown_area_or_tree_is_not_found(client: Client) -> None:
    assert client.get(f"{GROWTH}/record/?area=X").status_code == HTTPStatus.NOT_FOUND
    assert client.get(f"{GROWTH}/trees/T99/").status_code == HTTPStatus.NOT_FOUND
    assert client.get(f"{GROWTH}/record/?area=A&start=x").status_code == HTTPStatus.OK


def test_growth_reaches_what_decides_about_feeding(client: Client) -> None:
    from orchard.queries.treatment_facts import load_growth

    write(client, shoots_0="10 11 12 13 14 15")
    (growth,) = load_growth(Tree.objects.filter(site__slug="traverser-yard").first().site_id)

    assert (growth.tag, growth.on, growth.verdict) == ("T01", date(2027, 1, 30), "low")
