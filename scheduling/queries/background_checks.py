"""Whether the background checks on file count on a day, by the validity of the adopted sets."""

from datetime import date

from scheduling.domain.background_check import why_check_not_current
from scheduling.domain.policy import Policy
from scheduling.models import Person


def is_checked(person: Person, policy: Policy, on: date) -> bool:
    """Say whether any of somebody's checks counts: its last day on file, and the sets' validity."""
    return any(
        on <= check.last_day
        and not why_check_not_current(
            policy.check_validity,
            issued_on=check.issued_on,
            on=on,
            declared_on=check.declared_on,
            trained_on=check.trained_on,
        )
        for check in person.checks.all()
    )
