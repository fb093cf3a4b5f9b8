"""How well a figure is known: its source and the status of that source.

Every threshold, default and verdict of the ground carries one. Not for people's
rules, whose figures live in `scheduling`.
"""

from dataclasses import dataclass
from enum import StrEnum


class Status(StrEnum):
    """What stands behind a figure, in the words of the reference."""

    VERIFIED = "read in the source"
    SECOND_HAND = "read where the source is quoted"
    FROM_MEMORY = "from memory of the source"
    COMMON_PRACTICE = "common practice, no source"
    INVENTED = "invented default"
    DERIVED = "derived by arithmetic"
    OWN = "set by this site"


@dataclass(frozen=True, slots=True)
class Citation:
    """Who says so, and how that is known."""

    source: str
    status: Status

    @property
    def words(self) -> str:
        """The source and its status as printed."""
        return f"{self.source} ({self.status.value})" if self.source else self.status.value
