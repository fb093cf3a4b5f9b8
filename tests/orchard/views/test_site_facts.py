"""Facts, figures and rates of a site: changed with a reason, kept with who and when."""

from html import unescape
from http import HTTPStatus

import pytest
from django.test import Client

from orchard.models import PlanTreatment, Site, SiteChange, Task
from orchard.queries.ground import load_diagnoses
from orchard.queries.rates import load_rate_table
from tests.signed_in import COORDINATOR, LEAD, NOW, SITE, STRANGER, VOLUNTEER, SignIn

PAGES = ["facts/", "figures/", "figures/COR/", "rates/", "rates/backfill/"]


@pytest.fixture
def client(sign_in: SignIn) -> Client:
    return sign_in(COORDINATOR)


def read(answer) -> str:
    return unescape(answer.content.decode())


def form_of(client: Client, path: str) -> dict[str, str]:
    """Return what a page's form would send if nobody touched it."""
    form = client.get(f"{SITE}/place/{path}").context["form"]
    said = {}
    for name in form.fields:
        value = form[name].value()
        if value not in (None, False):
            said[name] = str(form.fields[name].prepare_value(value))
    return said


def site() -> Site:
    return Site.objects.get(slug="traverser-yard")


@pytest.mark.parametrize("page", PAGES)
def test_doors(sign_in: SignIn, page: str) -> None:
    answers = {
        who: sign_in(who).get(f"{SITE}/place/{page}").status_code
        for who in (COORDINATOR, LEAD, VOLUNTEER, STRANGER)
    }
    closed = HTTPStatus.NOT_FOUND
    assert answers == {
        COORDINATOR: HTTPStatus.OK, LEAD: closed, VOLUNTEER: closed, STRANGER: closed,
    }  # fmt: skip


@pytest.mark.parametrize("page", ["figures/XYZ/", "rates/nothing/"])
def test_what_there_is_not_is_not_found(client: Client, page: str) -> None:
    assert client.get(f"{SITE}/place/{page}").status_code == HTTPStatus.NOT_FOUND


def test_facts_are_changed_and_the_change_is_kept(client: Client) -> None:
    said = form_of(client, "facts/") | {
        "earthworms": "not native", "worm_advice": "extension office, 3 May 2026", "toilets": "2",
    }  # fmt: skip
    text = read(client.post(f"{SITE}/place/facts/", said, follow=True))

    assert (site().earthworms, site().toilets) == ("not native", 2)
    change = SiteChange.objects.get()
    assert (change.by.email, change.about, change.at) == (COORDINATOR, "facts", NOW)
    assert "Earthworms: “unknown” becomes “not native”." in change.sentence
    assert change.sentence in text
    read(client.post(f"{SITE}/place/facts/", said))
    assert SiteChange.objects.count() == 1


def test_a_fact_that_cannot_be_is_refused(client: Client) -> None:
    said = form_of(client, "facts/") | {"organiser_email": "nobody", "toilets": "-1", "name": ""}
    text = read(client.post(f"{SITE}/place/facts/", said))

    assert "Put this right first" in text
    assert not SiteChange.objects.exists()


def test_a_figure_of_the_site_is_used_by_the_breakdown_and_by_new_lines(client: Client) -> None:
    line = PlanTreatment.objects.get(key="pockets-spring")
    line.parameters.pop("spacing_mm", None)
    line.save()
    said = form_of(client, "figures/COR/") | {"f_spacing_mm": "450"}

    refused = read(client.post(f"{SITE}/place/figures/COR/", said))
    assert "Write why this site differs from what is usual." in refused
    text = read(client.post(f"{SITE}/place/figures/COR/", {**said, "reason": "trial"}, follow=True))

    assert site().own_figures == {"COR.spacing_mm": {"value": 450.0, "reason": "trial"}}
    assert "distance between holes: the usual 300 mm becomes 450 mm, because: trial." in text
    plan = line.plan.code
    changes = read(client.get(f"{SITE}/plans/{plan}/changes/"))
    assert "Changed: " in changes or "Withdrawn: " in changes
    new = client.get(f"{SITE}/plans/{plan}/add/COR/")
    assert new.context["form"]["p_spacing_mm"].value() == "450"
    assert "trial; elsewhere 300 mm" in read(new)
    assert "450 mm" in read(client.get(f"{SITE}/plans/{plan}/"))


def test_a_figure_put_back_is_usual_again(client: Client) -> None:
    usual = form_of(client, "figures/COR/")
    own = {**usual, "f_spacing_mm": "450", "reason": "trial"}
    client.post(f"{SITE}/place/figures/COR/", own)
    client.post(f"{SITE}/place/figures/COR/", usual)

    assert site().own_figures == {}
    assert SiteChange.objects.first().sentence.endswith("450 mm becomes the usual 300 mm.")


@pytest.mark.parametrize(
    ("code", "said", "sentence"),
    [
        ("COR", {"f_spacing_mm": "200", "reason": "x"}, "outside what can be"),
        ("COR", {"f_spacing_mm": "2 inn", "reason": "x"}, "for example 2.5 m"),
        ("SOIL", {"f_ph_least": "6.9", "f_ph_most": "6.5", "reason": "x"}, "holds nothing"),
    ],
)
def test_a_figure_that_cannot_be_is_a_sentence(
    client: Client, code: str, said: dict[str, str], sentence: str
) -> None:
    path = f"figures/{code}/"
    text = read(client.post(f"{SITE}/place/{path}", form_of(client, path) | said))

    assert sentence in text
    assert site().own_figures == {}


def test_a_limit_of_the_site_decides_the_verdicts_lines(client: Client) -> None:
    def missing() -> str:
        return " ".join(w for d in load_diagnoses(site().pk, on=NOW.date()) for w in d.missing)

    assert "at least 5 an area" in missing()
    said = form_of(client, "figures/SOIL/") | {"f_spade_tests_wanted": "7", "reason": "slope"}
    client.post(f"{SITE}/place/figures/SOIL/", said)

    assert "at least 7 an area" in missing()


def test_a_rate_is_given_with_its_reason(client: Client) -> None:
    old = load_rate_table(site().pk, on=NOW.date()).get_rate("backfill")
    said = {"low_min": "1", "likely_min": "2", "high_min": "6", "reason": "timed on three rings"}
    text = read(client.post(f"{SITE}/place/rates/backfill/", said, follow=True))

    new = load_rate_table(site().pk, on=NOW.date())
    assert new.get_rate("backfill").effort.likely_min == 2
    assert new.get_rate("backfill").basis == "timed on three rings"
    assert new.get_rate("backfill") != old
    assert "because: timed on three rings." in text
    assert SiteChange.objects.get().about == "rates"


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({"low_min": "3", "likely_min": "2", "high_min": "6", "reason": "x"}, "out of order"),
        ({"low_min": "1", "likely_min": "2", "high_min": "6", "reason": ""}, "required"),
    ],
)
def test_a_rate_that_cannot_be_is_a_sentence(
    client: Client, said: dict[str, str], sentence: str
) -> None:
    assert sentence in read(client.post(f"{SITE}/place/rates/backfill/", said))
    assert not SiteChange.objects.exists()


def test_tasks_stay_until_published(client: Client) -> None:
    before = list(Task.objects.order_by("pk").values_list("key", flat=True))
    said = form_of(client, "figures/TASKS/") | {"f_session_person_min": "120", "reason": "few"}
    client.post(f"{SITE}/place/figures/TASKS/", said)

    assert list(Task.objects.order_by("pk").values_list("key", flat=True)) == before
