"""When the numbers of a class are confirmed, to be asked for, or overdue.

Not for judging numbers: `admission` and `class_visit` do. That a class is
confirmed says how many come, never who.
"""

from datetime import date
from enum import StrEnum

ASK_DAYS = 8
"""Numbers are asked for from so many days before: a week, and a day in which mail is read.

Source: the house's issue asks for a week; the day more is invented."""

OVERDUE_DAYS = 3
"""From so many days before, numbers nobody confirmed are told to the coordinator: invented."""

COUNTS_DAYS = 14
"""What was said earlier than this corrects the numbers and confirms nothing yet: invented."""


class NumbersState(StrEnum):
    """How far a class's numbers are settled."""

    LATER = "asked a week before"
    ASKED = "to be confirmed"
    OVERDUE = "not confirmed"
    CONFIRMED = "confirmed"


def judge_numbers(on: date, today: date, *, booked_on: date, said_on: date | None) -> NumbersState:
    """Return how far the numbers of a class are settled.

    Args:
        on: The session's day.
        today: Today.
        booked_on: When the class was signed up. Within a week of the session, the
            numbers checked then are as fresh as they can be.
        said_on: When its liaison last confirmed or corrected them, if ever.
    """
    if (on - booked_on).days <= ASK_DAYS:
        return NumbersState.CONFIRMED
    if said_on is not None and (on - said_on).days <= COUNTS_DAYS:
        return NumbersState.CONFIRMED
    left = (on - today).days
    if left <= OVERDUE_DAYS:
        return NumbersState.OVERDUE
    return NumbersState.ASKED if left <= ASK_DAYS else NumbersState.LATER
