"""Reads the rule book as the site adopted it: rules with figures, and the sets behind them."""

from dataclasses import dataclass
from datetime import date

from scheduling.domain.rule_book import RuleBook, build_rule_book
from scheduling.queries.rule_sets import AdoptedSet, load_adopted, load_policy


@dataclass(frozen=True, slots=True)
class RuleBookPage:
    """What the rule book's page shows on a day."""

    book: RuleBook
    adopted: tuple[AdoptedSet, ...]
    on: date


def load_rule_book(site_id: int, *, on: date) -> RuleBookPage:
    """Return the rule book of a site on a day; schools' own sets are not among it."""
    return RuleBookPage(
        book=build_rule_book(load_policy(site_id, on=on)),
        adopted=load_adopted(site_id, on=on),
        on=on,
    )
