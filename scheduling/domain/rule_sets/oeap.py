"""Outdoor Education Advisers' Panel: no number, a risk assessment by name and date."""

from datetime import date

from scheduling.domain.rule_set import Combining, RuleSet, SupervisionTable

SOURCE = "Outdoor Education Advisers' Panel, National Guidance 4.3b and FAQ 6b, oeapng.info"
CHECKED_ON = date(2026, 11, 25)

RULE_SET = RuleSet(
    code="OEAP",
    version=1,
    title="England, outdoor education advisers' guidance",
    source=SOURCE,
    status="published",
    checked_on=CHECKED_ON,
    summary=(
        "No fixed ratio outside early years: the number of adults comes out of a risk assessment "
        "of activity, group, place, staff and the loss of a leader, made by a named person on a "
        "date."
    ),
    supervision=SupervisionTable(
        code="OEAP",
        name="England, outdoor education advisers' guidance",
        bands=(),
        least_adults=0,
        adult_from=18,
        source=SOURCE,
        status="published",
        checked_on=CHECKED_ON,
        combining=Combining.SUM,
        needs_assessment=True,
        notes=(
            "Prints no number and none may be printed in its name.",
            "Adopt a copy with the name and the date of the assessment filled in.",
        ),
    ),
)
