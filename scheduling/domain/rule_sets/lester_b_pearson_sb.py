"""Lester B. Pearson School Board, Québec, secondary, open venues. One school board's policy."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "Lester B. Pearson School Board, field trips, johnrennie.lbpsb.qc.ca"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="LESTER-B-PEARSON",
    version=1,
    title="Lester B. Pearson School Board, open venue",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "Secondary: open venue 1 to 10, closed venue 1 to 15, restricted venue 1 to 20; two "
        "adults whenever more than 3 students go by public transport."
    ),
    supervision=SupervisionTable(
        code="LESTER-B-PEARSON",
        name="Lester B. Pearson School Board, open venue",
        bands=(RatioBand(oldest=18, per_adult=10, name="secondary, open venue"),),
        least_adults=1,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            "A park is an open venue.",
            (
                "Made for secondary schools; for younger pupils adopt it beside a table that "
                "names them."
            ),
        ),
    ),
)
