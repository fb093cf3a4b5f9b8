"""NSPCC Learning's recommended ratios, September 2023. Guidance, not law."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "NSPCC Learning, Recommended adult to child ratios for working with children, September 2023"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="NSPCC-2023",
    version=1,
    title="NSPCC Learning, September 2023",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "Under 2 years 1 to 3; 2 to 3 years 1 to 4; 4 to 8 years 1 to 6; 9 to 12 years 1 to 8; "
        "13 to 18 years 1 to 10; at least two adults; only people of 18 or over count as adults. "
        "Parents who come along do not count for other people's children unless recruited, "
        "checked and trained."
    ),
    supervision=SupervisionTable(
        code="NSPCC-2023",
        name="NSPCC Learning, September 2023",
        bands=(
            RatioBand(oldest=1, per_adult=3),
            RatioBand(oldest=3, per_adult=4),
            RatioBand(oldest=8, per_adult=6),
            RatioBand(oldest=12, per_adult=8),
            RatioBand(oldest=18, per_adult=10),
        ),
        least_adults=2,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        crew_combining=Combining.YOUNGEST,
        notes=(
            "How mixed ages combine is not published: by sum over all who are there, by the "
            "youngest in each crew; common practice, proposed.",
            "18 is in the last band and is also the age of a counted adult: a pupil of 18 is "
            "supervised, a volunteer of 18 is not.",
        ),
    ),
)
