"""Scouting America, two adults of 21 or over and no ratio. Guidance of one movement, not law."""

from datetime import date

from scheduling.domain.rule_set import NO_NUMBER, Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "Scouting America, Scouting's Barriers to Abuse, scouting.org"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="SCOUTING-AMERICA",
    version=1,
    title="Scouting America, two-deep leadership",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "Two registered adults of 21 or over wherever young people are, service projects "
        "included; no one-to-one contact; no ratio is published."
    ),
    supervision=SupervisionTable(
        code="SCOUTING-AMERICA",
        name="Scouting America, two-deep leadership",
        bands=(RatioBand(oldest=17, per_adult=NO_NUMBER),),
        least_adults=2,
        adult_from=21,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            "No ratio is published; adopt it beside a table that has one.",
            (
                "Registration, background check and training are asked for; the site's check "
                "stands for the first two."
            ),
        ),
    ),
)
