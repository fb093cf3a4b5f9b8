"""Upper Grand District School Board, policy 508, day trips. One school board's policy."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = (
    "Upper Grand District School Board, policy 508, appendix B, as reprinted at studylib.net; the "
    "order of its two columns to be confirmed"
)
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="UPPER-GRAND-508",
    version=1,
    title="Upper Grand District School Board, day trips",
    source=SOURCE,
    status="reprint",
    checked_on=CHECKED_ON,
    summary=(
        "Kindergarten 1 to 6; grades 1 to 3 1 to 8; grades 4 to 6 1 to 12; grades 7 and 8 two for "
        "each class (1 to 15 for clubs); grades 9 to 12 one for each class."
    ),
    supervision=SupervisionTable(
        code="UPPER-GRAND-508",
        name="Upper Grand District School Board, day trips",
        bands=(
            RatioBand(oldest=6, per_adult=6, name="kindergarten", least_adults=2),
            RatioBand(oldest=9, per_adult=8, name="grades 1 to 3", least_adults=2),
            RatioBand(oldest=12, per_adult=12, name="grades 4 to 6", least_adults=2),
            RatioBand(oldest=14, per_adult=15, name="grades 7 and 8", least_adults=2),
            RatioBand(oldest=18, per_adult=30, name="grades 9 to 12"),
        ),
        least_adults=1,
        adult_from=18,
        source=SOURCE,
        status="reprint",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        notes=(
            (
                "One for each class is kept as 1 to 30, a class of the usual size, proposed; two "
                "for each class as 1 to 15 and at least two."
            ),
            "The two adults of grades 7 and 8 are kept for younger pupils too, for whom the policy "
            "would otherwise ask for fewer in small groups; proposed.",
            "An age found in two grades takes the stricter: 6 as kindergarten, 9 as grade 3.",
        ),
    ),
)
