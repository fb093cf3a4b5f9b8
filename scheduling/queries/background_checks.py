"""Whether the background checks on file count on a day, by the validity of the adopted sets."""

from collections.abc import Iterable
from datetime import date

from scheduling.domain.background_check import why_check_not_current
from scheduling.domain.policy import Policy
from scheduling.models import CheckRecord, Person
from scheduling.queries.people_on_file import CheckOnFile


def is_checked(person: Person, policy: Policy, on: date) -> bool:
    """Say whether any of somebody's checks counts."""
    return is_any_current(person.checks.all(), policy, on)


def is_any_current(checks: Iterable[CheckRecord | CheckOnFile], policy: Policy, on: date) -> bool:
    """Say whether any of these checks counts: its last day on file, and the sets' validity."""
    return any(
        on <= check.last_day
        and not why_check_not_current(
            policy.check_validity,
            issued_on=check.issued_on,
            on=on,
            declared_on=check.declared_on,
            trained_on=check.trained_on,
        )
        for check in checks
    )
