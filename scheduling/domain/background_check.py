"""Whether a background check counts on a day, by the validity the adopted sets ask for.

What a check is stays outside: only the day it was issued is known, and the
days of a declaration and of training where a set asks for them. No certificate
and nothing of its content is ever kept.
"""

import calendar
from datetime import date

from scheduling.domain.policy import Policy
from scheduling.domain.rule_set import CheckValidity
from scheduling.domain.wording import day_words


def add_months(start: date, months: int) -> date:
    """Return the same day so many months later, or the last of that month where there is none.

    Args:
        start: The day counted from.
        months: 0 or more.
    """
    years, month0 = divmod(start.month - 1 + months, 12)
    year, month = start.year + years, month0 + 1
    return date(year, month, min(start.day, calendar.monthrange(year, month)[1]))


def why_check_not_current(
    validity: CheckValidity | None,
    *,
    issued_on: date | None,
    on: date,
    declared_on: date | None = None,
    trained_on: date | None = None,
) -> str:
    """Return why a background check does not count on a day, or "" when it does.

    Args:
        validity: The strictest of the adopted sets; None asks only for a check.
        issued_on: The day the check was issued, None without one.
        on: The day it should count.
        declared_on: The day of the latest offence declaration.
        trained_on: The day of the latest youth protection training.

    Returns:
        A whole sentence with the days, and what to do.

    Source:
        How long a check counts is not the check's own business: three years
        are common practice for DBS certificates, licensed child care in
        Ontario asks for five with declarations, its residential care for
        three; so it is read from the adopted sets.
    """
    if issued_on is None:
        return "No background check is on file; ask for one."
    if issued_on > on:
        return f"The background check is dated {day_words(issued_on)}, after the day itself."
    if validity is None:
        return ""
    if _is_over(issued_on, validity.months, on, exclusive=validity.end_exclusive):
        return (
            f"The background check of {day_words(issued_on)} is over: it counts for "
            f"{validity.months} months. Ask for a new one."
        )
    if validity.declaration_after_months and _is_over(
        issued_on, validity.declaration_after_months, on, exclusive=validity.end_exclusive
    ):
        lapsed = declared_on is None or _is_over(
            declared_on, validity.declaration_months, on, exclusive=validity.end_exclusive
        )
        if lapsed:
            return (
                f"The background check of {day_words(issued_on)} is older than "
                f"{validity.declaration_after_months} months and asks for a declaration; none "
                "in date is on file."
            )
    if validity.training_months and (
        trained_on is None
        or _is_over(trained_on, validity.training_months, on, exclusive=validity.end_exclusive)
    ):
        return (
            "Beside the check, training in keeping young people safe is asked for, not older "
            f"than {validity.training_months} months; none in date is on file."
        )
    return ""


def _is_over(start: date, months: int, on: date, *, exclusive: bool) -> bool:
    if not months:
        return False
    end = add_months(start, months)
    return on >= end if exclusive else on > end


def last_day_of_check(validity: CheckValidity | None, issued_on: date) -> date | None:
    """Return the last day on which a check issued that day counts, None without an end."""
    if validity is None or not validity.months:
        return None
    end = add_months(issued_on, validity.months)
    return date.fromordinal(end.toordinal() - 1) if validity.end_exclusive else end


def is_check_current(policy: Policy, *, issued_on: date | None, on: date) -> bool:
    """Say whether a check issued on a day counts on another, by the adopted sets."""
    return not why_check_not_current(policy.check_validity, issued_on=issued_on, on=on)
