"""A stepped rule of one diocese: two adults up to twenty, one more for each ten or part."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "Diocese of Westminster, safeguarding information sheet 1a, as reprinted at studyres.com"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="STEPPED-10",
    version=1,
    title="Stepped rule, 2 up to 20 and 1 for each 10 more",
    source=SOURCE,
    status="reprint",
    checked_on=CHECKED_ON,
    summary=("8 years and over: up to 20 two adults; one more for each 1 to 10 extra."),
    supervision=SupervisionTable(
        code="STEPPED-10",
        name="Stepped rule, 2 up to 20 and 1 for each 10 more",
        bands=(RatioBand(oldest=18, per_adult=10),),
        least_adults=2,
        adult_from=18,
        source=SOURCE,
        status="reprint",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            (
                "Two up to 20 and one more for each 10 or part is the same as 1 to 10 and at "
                "least two."
            ),
            (
                "Made for 8 years and over, indoors; for younger children adopt it beside a table "
                "that names them."
            ),
        ),
    ),
)
