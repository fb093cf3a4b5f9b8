"""Ids, ages and bands of the people who come.

Age is always the youngest the person can be on the day: only month and year of
birth are known, so a birthday counts from the month's last day.
"""

import calendar
from datetime import date
from enum import IntEnum, StrEnum
from typing import NewType

PersonId = NewType("PersonId", int)
GroupId = NewType("GroupId", int)
TaskId = NewType("TaskId", int)
SessionId = NewType("SessionId", int)
ItemId = NewType("ItemId", str)

ADULT_AGE = 18
LONGEST_NAME = 300
"""Signs in a given name or a family name; longer ones are asked to be shortened."""
FIRST_AID_SKILL = "first_aid"
OLD_HAND = 2  # experience of a person who can take novices along; 0 is new, 1 came before


class Band(IntEnum):
    """Age bands of the problem documents."""

    UNDER_12 = 0
    FROM_12 = 1
    FROM_16 = 2
    ADULT = 3


class Restriction(StrEnum):
    """What a person asked not to be given, or to have known. No reason is ever stored.

    `TELL_THE_LEAD` marks something the crew lead and the first aider must hear
    from the person or the guardian on the day, such as an allergy; its text is
    not kept.
    """

    NO_LIFTING = "no lifting"
    NO_KNEELING = "no kneeling"
    NO_LONG_KNEELING = "no long kneeling"
    NO_HEIGHTS = "no heights"
    TELL_THE_LEAD = "tell the lead"


def age_on(birth_year: int, birth_month: int, on: date) -> int:
    """Return the youngest age in completed years the person can be on the day.

    Args:
        birth_year: Year of birth.
        birth_month: Month of birth, 1 to 12.
        on: The day.

    Returns:
        Completed years, as if born on the last day of that month; never below 0.
    """
    last_day = calendar.monthrange(birth_year, birth_month)[1]
    had_birthday = (on.month, on.day) >= (birth_month, last_day)
    # 29 February: reached on 1 March in common years, 29 February in leap years.
    return max(0, on.year - birth_year - (0 if had_birthday else 1))


def band_of(age: int) -> Band:
    """Return the age band of a completed age in years."""
    if age >= ADULT_AGE:
        return Band.ADULT
    if age >= 16:
        return Band.FROM_16
    return Band.FROM_12 if age >= 12 else Band.UNDER_12


PUPILS_PER_GROUP = 1000  # a class has fewer pupils than this


def pupil_id(group: GroupId, number: int) -> PersonId:
    """Return the id of a class's pupil by number, 1 to 999.

    Pupils have no rows of their own: their ids lie below zero and hold the class
    and the number, so that a roster can name them without anybody being named.
    """
    return PersonId(-(group * PUPILS_PER_GROUP + number))


def find_pupil(person: PersonId) -> tuple[GroupId, int] | None:
    """Return the class and number behind a pupil's id, or None for a known person."""
    if person >= 0:
        return None
    group, number = divmod(-person, PUPILS_PER_GROUP)
    return GroupId(group), number
