"""Girl Guides Australia, routine meetings. Guidance of one movement, not law."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "Girl Guides Australia, Ratios at a glance, guidelinesforgirlguides.org.au"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="GIRL-GUIDES-AU-ROUTINE",
    version=1,
    title="Girl Guides Australia, routine meetings",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "5 to 9 years 1 to 8; 9 to 14 years 1 to 12; 14 to 17 years 1 to 15; at least 2 adults; "
        "no adult ever alone with one girl."
    ),
    supervision=SupervisionTable(
        code="GIRL-GUIDES-AU-ROUTINE",
        name="Girl Guides Australia, routine meetings",
        bands=(
            RatioBand(oldest=9, per_adult=8),
            RatioBand(oldest=14, per_adult=12),
            RatioBand(oldest=17, per_adult=15),
        ),
        least_adults=2,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SECTIONS,
        notes=(
            (
                "How mixed ages combine is not published; each section by itself is common "
                "practice, no source."
            ),
            "9 and 14 are in two bands; the stricter holds.",
        ),
    ),
)
