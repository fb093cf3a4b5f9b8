"""The Scouts, Squirrels (4 and 5 years), outdoors. Guidance of one movement, not law."""

from datetime import date

from scheduling.domain.rule_set import Combining, RatioBand, RuleSet, SupervisionTable

SOURCE = "The Scouts, Squirrels safety and safeguarding, scouts.org.uk"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="SCOUTS-UK-SQUIRRELS",
    version=1,
    title="The Scouts, Squirrels outdoors",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "Squirrels (4 and 5 years) outdoors: 1 to 4 plus the leader in charge, never fewer than 3 "
        "adults. Indoors 1 to 6."
    ),
    supervision=SupervisionTable(
        code="SCOUTS-UK-SQUIRRELS",
        name="The Scouts, Squirrels outdoors",
        bands=(RatioBand(oldest=5, per_adult=4, name="Squirrels", plus_leaders=1, least_adults=3),),
        least_adults=0,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SECTIONS,
        ends=True,
        notes=(
            "Says nothing of anyone over 5; adopt it beside a table that does.",
            "Indoors the ratio is 1 to 6; this set holds the stricter, outdoors.",
        ),
    ),
)
