"""The rule book prints every rule with its source and how far the source carries."""

from html import unescape

from scheduling.domain.rules import RULES
from tests.signed_in import SITE, VOLUNTEER, SignIn


def test_every_rule_stands_in_the_rule_book(sign_in: SignIn) -> None:
    text = unescape(sign_in(VOLUNTEER).get(f"{SITE}/rule-book/").content.decode())

    for rule in RULES:
        assert f'id="{rule.code}"' in text
        assert rule.sentence in text
        assert rule.source in text
        assert f"</svg>{rule.status}</span>" in text
