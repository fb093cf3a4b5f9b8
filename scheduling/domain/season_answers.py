"""Answers about a season as a page shows them. Kept and read back by `day_answers`."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ChangeSeen:
    """A change that gains, in words; `gain_h` in person-hours of work planned more.

    `work` names the units planned more.
    """

    words: str
    gain_h: float
    work: str


@dataclass(frozen=True, slots=True)
class SeasonChangesSeen:
    """What makes more of the open work fit, the most first.

    `tried` counts the changes that were tried, `not_tried` those that time did not
    allow. `is_all_planned` says that nothing is left out, so that nothing was tried.
    """

    changes: tuple[ChangeSeen, ...]
    tried: int
    not_tried: int
    is_all_planned: bool
