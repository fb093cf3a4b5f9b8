"""Every page of the ground in a person's own units: no bare number of the other system.

What stands in both systems, such as “3 in (75 mm)”, is right for either person. Left in
the unit they come in, and so taken out before looking: titles of sources with what they
say (the small print and the lines called Source), words a person typed, and what
laboratories and the trade keep in both countries (bulk density in g/cm³).
"""

import re
from html import unescape

import pytest
from django.test import Client

from orchard.models import Plan, Pocket, Task, User
from tests.signed_in import COORDINATOR, SITE

NUMBER = r"(?<![\w.,/:-])[−-]?\d[\d,.]*"
METRIC = re.compile(rf"{NUMBER}[ -](?:mm|cm|m|m²|m³|L|kg|MPa|kPa|ha|litres?|metres?)(?![\w²³/])")
US = re.compile(
    rf"{NUMBER}(?: (?:ft|sq ft|cu yd|cu ft|gal|lb|psi|acres)(?!\w)| in(?=[.,;:)]|$)|' \d)"
)
BOTH = re.compile(
    rf"{NUMBER}(?: (?:to|×|x|and) {NUMBER})*[ -][\w²³]+(?: \w+)? "
    rf"\((?:about )?{NUMBER}(?: (?:to|×|x|and) {NUMBER})* [^()]*\)"
)
BOTH_BUT = (
    r"<(?:script|style|path|svg [^>]*|title|desc)\b[^>]*>",
    r'<(?:p|span|li) class="aside">.*?</(?:p|span|li)>',
    r"“[^”]*”",  # examples of what may be typed
    r"<dt>(?:Source|Worth rests on)</dt><dd>.*?</dd>",
    r'data-label="Source and its status">.*?</td>',
    r'(?:<small|<div|<span)[^>]*class="[^"]*form-text[^"]*"[^>]*>.*?</(?:small|div|span)>',
)
PAGES = (
    "ground/",
    "ground/areas/A/",
    "ground/areas/D/",
    "ground/readings/",
    "ground/drawing/",
    "ground/drawing/?part=pocket-P1",
    *(
        f"ground/areas/A/read/{kind}/"
        for kind in (
            "penetrometer", "bulk-density", "percolation", "spade-test", "texture",
            "workability", "laboratory",
        )
    ),
    "pockets/",
    "pockets/P1/",
    "pockets/P1/draw/",
    "draw-a-pocket/",
    "propose-pockets/",
    "propose-pockets/?area=A&count=2&pocket_m2=20+m%C2%B2&rate=clay",
    "locates/",
    "methods/",
    "methods/?ground=pocket-P1",
    "methods/fit/?hours=300&money=4000",
    "place/",
    "place/tapes/",
    "place/import/",

    "plans/{plan}/",
    "plans/{plan}/changes/",
    "plans/{plan}/add/",
    *(f"plans/{{plan}}/add/{code}/" for code in (
        "SUR", "TRF", "RNG", "LSN", "COR", "SET", "INO", "WRM", "FER", "BIO", "TOP", "MUL", "WAT",
        "GRO", "PHO",
    )),
    "plans/{plan}/history/",
)  # fmt: skip


def say(page: str) -> str:
    """Return the words of a page that must be in the person's units."""
    for pattern in BOTH_BUT:
        page = re.sub(pattern, " ", page, flags=re.DOTALL)
    words = re.sub(r"<[^>]+>", " | ", page)
    return BOTH.sub(" ", re.sub(r"\s+", " ", unescape(words)))


def read_pages(client: Client) -> dict[str, str]:
    plan = Plan.objects.get().code
    paths = [path.replace("{plan}", plan) for path in PAGES]
    paths += [f"tasks/{kind}/" for kind in _one_task_of_each_kind()]
    found = {}
    for path in paths:
        answer = client.get(f"{SITE}/{path}")
        assert answer.status_code == 200, path
        found[path] = say(answer.content.decode())
    return found


def _one_task_of_each_kind() -> list[int]:
    tasks: dict[str, int] = {}
    for task in Task.objects.order_by("pk"):
        tasks.setdefault(task.kind, task.pk)
    return sorted(tasks.values())


def see_in(system: str) -> None:
    User.objects.filter(email=COORDINATOR).update(units=system)


@pytest.mark.parametrize(
    ("system", "foreign"), [("us", METRIC), ("metric", US)], ids=["us", "metric"]
)
def test_no_page_of_the_ground_shows_a_bare_number_of_the_other_system(
    sign_in, system: str, foreign: re.Pattern[str]
) -> None:
    see_in(system)

    pages = read_pages(sign_in(COORDINATOR))

    wrong = {
        path: [words[max(0, m.start() - 40) : m.end() + 20] for m in foreign.finditer(words)]
        for path, words in pages.items()
    }
    assert {path: found for path, found in wrong.items() if found} == {}


def test_the_looking_would_find_one() -> None:
    assert METRIC.search(say("<p>Spread 50 mm of chips</p>"))
    assert not METRIC.search(say("<p>an auger of 3 in (75 mm), 1.45 g/cm³</p>"))
    assert US.search(say("<td>40' 5¾\"</td>"))
    assert US.search(say("<p>it held 12 gal of it</p>"))


def test_tools_and_bags_stand_in_both_systems(sign_in) -> None:
    see_in("us")
    client = sign_in(COORDINATOR)
    bored = Task.objects.filter(kind="core").order_by("pk").first()

    task = unescape(client.get(f"{SITE}/tasks/{bored.pk}/").content.decode())
    plan = unescape(client.get(f"{SITE}/plans/{bored.plan.code}/").content.decode())

    assert "3 in (75 mm)" in task
    assert re.search(r"\d+ of [\d.]+ cu ft \([\d.]+ L\)", plan)


def test_a_us_person_sets_out_a_pocket_in_feet_and_inches(sign_in) -> None:
    see_in("us")
    page = unescape(sign_in(COORDINATOR).get(f"{SITE}/pockets/P1/").content.decode())

    assert "Feet and inches" in page
    assert "quarter inch" in page
    assert re.search(r"First measure from peg A to peg B: \d+'", page)
    assert re.search(r"[¼½¾\d]\" = 1' \(1 : \d+\)", page)
    assert Pocket.objects.filter(code="P1").exists()
