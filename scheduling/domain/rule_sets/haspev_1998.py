"""The old English general guide for school visits: withdrawn, for schools that still name it."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "DfEE, Health and Safety of Pupils on Educational Visits (HASPEV), 1998, withdrawn guidance, "
    "as quoted in a teacher's collection"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="HASPEV-1998",
    version=1,
    title="England, old guide for school visits (withdrawn)",
    source=SOURCE,
    status="withdrawn",
    checked_on=CHECKED_ON,
    summary=(
        "Local visits: years 1 to 3 1 to 6; years 4 to 6 1 to 10 up to 1 to 15; year 7 and up 1 "
        "to 15 up to 1 to 20; at least one teacher in charge. Withdrawn."
    ),
    supervision=SupervisionTable(
        code="HASPEV-1998",
        name="England, old guide for school visits (withdrawn)",
        bands=(
            RatioBand(oldest=8, per_adult=6, name="years 1 to 3"),
            RatioBand(oldest=11, per_adult=10, name="years 4 to 6"),
            RatioBand(oldest=18, per_adult=15, name="year 7 and up"),
        ),
        least_adults=1,
        adult_from=18,
        source=SOURCE,
        status="withdrawn",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            "Withdrawn guidance: to be adopted only beside a current one.",
            "Where a range is printed (1 to 10 up to 1 to 15) the stricter end holds.",
            "An age found in two school years takes the stricter: 8 as year 3, 11 as year 6.",
            "Reception is said to need more, without a number; 1 to 6 holds.",
        ),
    ),
)
