"""A session begins after sunrise and ends before sunset, with time to pack up in the light.

After sunset it is refused; inside the site's margin it is a warning. Clouds and
buildings make it dark earlier.
"""

from datetime import datetime, timedelta

from scheduling.domain.condition import Condition, Notice, Reason, Severity
from scheduling.domain.problem import RosterProblem


class Daylight:
    """Daylight."""

    code = "DAY-1"
    sentence = (
        "A session begins after sunrise and ends before sunset, with time to pack up in the light."
    )
    source = "NOAA, solar calculation details; the margin is proposed"
    status = "proposed"
    waivable = True
    applies_to = "the session's times"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a finding for a session outside daylight or near its end."""
        facts, limits = problem.facts, problem.policy.facilities
        if facts is None or not problem.tasks:
            return ()
        margin = 0 if limits is None else limits.before_sunset_min
        found: list[Condition] = []
        if facts.starts_at and facts.sunrise and facts.starts_at < facts.sunrise:
            text = (
                f"The session begins at {_clock(facts.starts_at, facts.starts_at)}, before sunrise "
                f"at {_clock(facts.sunrise, facts.starts_at)}."
            )
            found.append(self._finding(text, "Begin later.", Severity.BLOCKS))
        if facts.ends_at and facts.sunset:
            left_min = (facts.sunset - facts.ends_at) // timedelta(minutes=1)
            if left_min < margin:
                text = (
                    f"The session ends at {_clock(facts.ends_at, facts.ends_at)}, and the sun "
                    f"sets at {_clock(facts.sunset, facts.ends_at)}; {margin} minutes between "
                    "them are asked for."
                )
                remedy = "Begin earlier, or leave out the last round."
                severity = Severity.BLOCKS if left_min < 0 else Severity.WARNS
                found.append(self._finding(text, remedy, severity, margin, left_min))
        return tuple(found)

    def _finding(
        self, text: str, remedy: str, severity: Severity,
        required: int | None = None, found: int | None = None,
    ) -> Notice:  # fmt: skip
        return Notice(Reason(self.code, text, self.source, remedy, severity), required, found)


def _clock(at: datetime, like: datetime) -> str:
    """Return a time of day in the zone of another."""
    return f"{at.astimezone(like.tzinfo):%H:%M}"
