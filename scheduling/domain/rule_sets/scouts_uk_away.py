"""The Scouts, Beavers, Cubs and Scouts away from the usual meeting place. Not law."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "The Scouts, Policy, Organisation and Rules, as quoted by a district's page of ratios, "
    "gdscouts.org.uk; re-issued often, to be checked again before use"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="SCOUTS-UK-AWAY",
    version=1,
    title="The Scouts, away from the usual meeting place",
    source=SOURCE,
    status="reprint",
    checked_on=CHECKED_ON,
    summary=(
        "Beavers (6 to 8) 1 to 6 plus the leader in charge; Cubs (8 to 10½) 1 to 8 plus the "
        "leader in charge; Scouts (10½ to 14) 1 to 12; at least 2 adults."
    ),
    supervision=SupervisionTable(
        code="SCOUTS-UK-AWAY",
        name="The Scouts, away from the usual meeting place",
        bands=(
            RatioBand(oldest=8, per_adult=6, name="Beavers", plus_leaders=1),
            RatioBand(oldest=10, per_adult=8, name="Cubs", plus_leaders=1),
            RatioBand(oldest=14, per_adult=12, name="Scouts"),
        ),
        least_adults=2,
        adult_from=18,
        source=SOURCE,
        status="reprint",
        checked_on=CHECKED_ON,
        combining=Combining.SECTIONS,
        ends=True,
        notes=(
            (
                "How mixed ages combine is not published; each section by itself is common "
                "practice, no source."
            ),
            (
                "Where sections meet in age the stricter holds: 8-year-olds count as Beavers, "
                "10-year-olds as Cubs."
            ),
            "No number for people over 14; adopt it beside a table that has one.",
        ),
    ),
)
