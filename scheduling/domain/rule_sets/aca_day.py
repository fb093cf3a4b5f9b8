"""American Camp Association, day camp. Guidance of one body, not law."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "American Camp Association, staff ratios for day camps, as reported by two independent guides"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="ACA-DAY",
    version=1,
    title="American Camp Association, day camp",
    source=SOURCE,
    status="reprint",
    checked_on=CHECKED_ON,
    summary=(
        "5 years and under 1 to 6; 6 to 8 years 1 to 8; 9 to 14 years 1 to 10; 15 to 17 years 1 "
        "to 12."
    ),
    supervision=SupervisionTable(
        code="ACA-DAY",
        name="American Camp Association, day camp",
        bands=(
            RatioBand(oldest=5, per_adult=6),
            RatioBand(oldest=8, per_adult=8),
            RatioBand(oldest=14, per_adult=10),
            RatioBand(oldest=17, per_adult=12),
        ),
        least_adults=0,
        adult_from=18,
        source=SOURCE,
        status="reprint",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            "How mixed ages combine is not published; by sum is common practice, no source.",
            "Names no floor; the site's own two adults hold beside it.",
        ),
    ),
)
