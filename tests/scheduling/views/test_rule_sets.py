"""The pages of rule sets: adopted, ended, one figure changed after seeing what it does."""

from html import unescape
from http import HTTPStatus

from scheduling.models import Adoption, RuleSetVersion, SchoolGroup
from tests.signed_in import COORDINATOR, LEAD, SITE, SignIn

SETS = f"{SITE}/rule-sets/"
NSPCC = f"{SETS}NSPCC-2023/1/"
CHANGE = f"{NSPCC}change/"
LEAST = "supervision.least_adults"


def shipped(code: str) -> RuleSetVersion:
    return RuleSetVersion.objects.get(site__isnull=True, code=code, version=1)


def test_every_set_is_listed_with_standing_source_and_state(sign_in: SignIn) -> None:
    text = unescape(sign_in(COORDINATOR).get(SETS).content.decode())

    for row in RuleSetVersion.objects.filter(site__isnull=True):
        assert row.title in text
        assert row.source in text
    assert text.count("</svg>adopted</span>") == 2


def test_a_set_shows_every_figure_with_where_it_is_from_and_its_history(sign_in: SignIn) -> None:
    text = unescape(sign_in(COORDINATOR).get(NSPCC).content.decode())

    assert "To 8 years: young people to one adult" in text
    assert f'href="{CHANGE}?figure={LEAST}"' in text
    assert "September 2023" in text
    assert 'id="history"' in text


def test_the_preview_comes_before_anything_is_saved(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)

    text = client.get(CHANGE, {"figure": LEAST, "value": "30"}).content.decode()

    assert "What 30  instead of 2 would do" in text or "What 30 instead of 2 would do" in text
    assert "Coming sessions with other findings" in text
    assert "SUP-2" in text
    assert "Save as version 2" in text
    assert not RuleSetVersion.objects.filter(site__isnull=False).exists()


def test_saving_makes_the_next_version_and_the_book_says_so(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)
    sent = {"figure": LEAST, "value": "3", "because": "The council asks for three."}

    answer = client.post(CHANGE, sent, follow=True)
    text = unescape(answer.content.decode())
    book = unescape(client.get(f"{SITE}/rule-book/").content.decode())

    assert "Version 2 of NSPCC-2023 is saved" in text
    assert "The council asks for three." in text
    assert answer.request["PATH_INFO"] == f"{SETS}NSPCC-2023/2/"
    assert "NSPCC-2023, version 2" in book
    assert "at least 3 adults" in book
    assert "Ilse Vandermolen" in book
    old = unescape(client.get(NSPCC).content.decode())
    assert "A newer version exists. This one is kept as it was." in old


def test_a_change_without_a_reason_is_not_saved_and_the_preview_stays(sign_in: SignIn) -> None:
    text = sign_in(COORDINATOR).post(CHANGE, {"figure": LEAST, "value": "3"}).content.decode()

    assert "Say why the figure changes" in text
    assert "Save as version 2" in text
    assert not RuleSetVersion.objects.filter(site__isnull=False).exists()


def test_a_value_that_cannot_be_is_answered_with_a_sentence(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)

    text = client.get(CHANGE, {"figure": LEAST, "value": "two"}).content.decode()
    saved = client.post(CHANGE, {"figure": LEAST, "value": "two", "because": "why"}, follow=True)

    assert "it must be a whole number" in unescape(text)
    assert "Nothing was saved." in saved.content.decode()
    assert not RuleSetVersion.objects.filter(site__isnull=False).exists()


def test_an_unknown_set_version_or_figure_is_no_page(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)

    for address in (f"{SETS}NOTHING/1/", f"{SETS}NSPCC-2023/7/", f"{CHANGE}?figure=nonsense"):
        assert client.get(address).status_code == HTTPStatus.NOT_FOUND
    assert client.post(CHANGE, {"figure": "x"}).status_code == HTTPStatus.NOT_FOUND


def test_adopting_for_a_class_and_ending_it(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)
    group = SchoolGroup.objects.get(code="SLUICE-7")
    sent = {"version": shipped("LESTER-B-PEARSON").pk, "group": group.pk}

    adopted = client.post(f"{SETS}adopt/", sent, follow=True).content.decode()
    adoption = Adoption.objects.get(group=group)
    ended = client.post(f"{SETS}end/", {"adoption": adoption.pk}, follow=True).content.decode()

    adoption.refresh_from_db()
    assert "Adopted from today on." in adopted
    assert "Class 7, Sluice School, Ellemarre" in adopted
    assert "Ended from today on." in ended
    assert adoption.ended_on is not None
    assert 'id="ended"' in ended


def test_the_last_table_is_not_ended_and_the_page_says_why(sign_in: SignIn) -> None:
    adoption = Adoption.objects.get(rule_set=shipped("NSPCC-2023"))

    text = sign_in(COORDINATOR).post(f"{SETS}end/", {"adoption": adoption.pk}, follow=True)

    assert "the only adopted set with a table" in text.content.decode()
    assert Adoption.objects.get(pk=adoption.pk).ended_on is None


def test_forms_that_name_nothing_are_no_page(sign_in: SignIn) -> None:
    client = sign_in(COORDINATOR)

    assert client.post(f"{SETS}adopt/", {"version": "x"}).status_code == HTTPStatus.NOT_FOUND
    assert client.post(f"{SETS}end/", {}).status_code == HTTPStatus.NOT_FOUND


def test_a_session_lead_reads_the_book_and_finds_no_way_to_change_it(sign_in: SignIn) -> None:
    text = sign_in(LEAD).get(f"{SITE}/rule-book/").content.decode()

    assert "Adopt, end or change rule sets" not in text
    assert sign_in(LEAD).post(CHANGE, {"figure": LEAST}).status_code == HTTPStatus.NOT_FOUND
