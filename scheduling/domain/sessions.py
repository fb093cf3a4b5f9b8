"""The clock of one session: when its rounds begin and end. Not for dates of a season."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from scheduling.domain.published import RoundTimes


@dataclass(frozen=True, slots=True)
class SessionClock:
    """How a session is laid out from its start: briefing, rounds with breaks, packing up.

    All lengths in minutes; a break lies between two rounds, none after the last.
    """

    starts_at: datetime
    time_zone: str
    briefing_min: int
    rounds: int
    round_min: int
    break_min: int
    packing_min: int

    def round_times(self) -> tuple[RoundTimes, ...]:
        """Return each round's start and end in the site's zone, numbered from 1.

        Lengths are added in UTC, so they hold across a change of clocks.
        """
        zone = ZoneInfo(self.time_zone)
        first = self.starts_at.astimezone(UTC) + timedelta(minutes=self.briefing_min)
        step = timedelta(minutes=self.round_min + self.break_min)
        length = timedelta(minutes=self.round_min)
        return tuple(
            RoundTimes(
                number=index + 1,
                starts_at=(first + index * step).astimezone(zone),
                ends_at=(first + index * step + length).astimezone(zone),
            )
            for index in range(self.rounds)
        )

    def ends_at(self) -> datetime:
        """Return when everything is packed up, in the site's zone."""
        last = self.round_times()[-1].ends_at.astimezone(UTC)
        return (last + timedelta(minutes=self.packing_min)).astimezone(ZoneInfo(self.time_zone))

    @property
    def working_min(self) -> int:
        """Minutes of work for somebody who is there for all rounds."""
        return self.rounds * self.round_min
