"""Girlguiding UK, away from the normal meeting place. Guidance of one movement, not law."""

from datetime import date

from scheduling.domain.rule_set import NO_NUMBER, Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "Girlguiding, the Manual, as reprinted by Girlguiding Nottinghamshire, Adult:Child ratios, "
    "girlguidingnottinghamshire.org.uk"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="GIRLGUIDING-UK-AWAY",
    version=1,
    title="Girlguiding, away from the normal meeting place",
    source=SOURCE,
    status="reprint",
    checked_on=CHECKED_ON,
    summary=(
        "Rainbows 1 to 5, always two adults; Brownies 1 to 8; Guides 1 to 12; Rangers no number."
    ),
    supervision=SupervisionTable(
        code="GIRLGUIDING-UK-AWAY",
        name="Girlguiding, away from the normal meeting place",
        bands=(
            RatioBand(oldest=7, per_adult=5, name="Rainbows", least_adults=2),
            RatioBand(oldest=10, per_adult=8, name="Brownies"),
            RatioBand(oldest=14, per_adult=12, name="Guides"),
            RatioBand(oldest=18, per_adult=NO_NUMBER, name="Rangers"),
        ),
        least_adults=1,
        adult_from=18,
        source=SOURCE,
        status="reprint",
        checked_on=CHECKED_ON,
        combining=Combining.SECTIONS,
        notes=(
            (
                "How mixed ages combine is not published; each section by itself is common "
                "practice, no source."
            ),
            (
                "The ages of the sections are those commonly used, from memory; where two meet, "
                "the stricter holds."
            ),
        ),
    ),
)
