"""Hampshire country parks, a site's own rule for school visits."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "Hampshire County Council, Lepe Country Park, guidelines for teachers, hants.gov.uk"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="HAMPSHIRE-PARKS",
    version=1,
    title="Hampshire country parks",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "Under 5 1 to 6; under 8 1 to 8; 8 to 18 1 to 12; one group led by a ranger has at most "
        "15 children."
    ),
    supervision=SupervisionTable(
        code="HAMPSHIRE-PARKS",
        name="Hampshire country parks",
        bands=(
            RatioBand(oldest=4, per_adult=6),
            RatioBand(oldest=7, per_adult=8),
            RatioBand(oldest=18, per_adult=12),
        ),
        least_adults=1,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        largest_group=15,
        notes=(("At most 15 to a group is read as at most 15 young people to a crew."),),
    ),
)
