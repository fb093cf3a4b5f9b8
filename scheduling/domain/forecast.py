"""When the plan will be finished, with its uncertainty: a forecast, not a promise.

Draws what the work left may take and who may come, many times, and counts
sessions until the work is done. Not for which work goes where: that is the
season's. Front door: `forecast_completion`.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from orchard.domain.effort import Effort
from orchard.domain.rate_learning import TENTH_OF_NORMAL
from scheduling.domain.attendance import SINGLE_PEOPLE, WHOLE_CLASS, Beta
from scheduling.domain.errors import NothingPlanned

MOST_SESSIONS = 400  # no plan is forecast further than this many sessions


@dataclass(frozen=True, slots=True)
class WorkLeft:
    """Adult person-minutes left of one kind of work.

    Low, likely and high are taken as the 10 %, 50 % and 90 % points; all the
    work of a kind is slow or quick together, as it is the same soil and crew.
    """

    kind: str
    effort: Effort


@dataclass(frozen=True, slots=True)
class ClassTurnout:
    """A class's adult-equivalent minutes, given wholly or not at all."""

    adult_min: float


@dataclass(frozen=True, slots=True)
class SessionTurnout:
    """A session to come: people signed up singly and the adult minutes each brings on average."""

    on: date
    singles: int
    adult_min_each: float
    classes: tuple[ClassTurnout, ...] = ()


@dataclass(frozen=True, slots=True)
class FinishPoint:
    """After how many sessions the work is done, and the day, if it is one already set."""

    sessions: int
    on: date | None


@dataclass(frozen=True, slots=True)
class Forecast:
    """When the work is done with a chance of 10, 50 and 90 %, and what that rests on."""

    p10: FinishPoint
    p50: FinishPoint
    p90: FinishPoint
    draws: int
    seed: int
    records_used: int
    assumptions: tuple[str, ...]


def forecast_completion(
    work: tuple[WorkLeft, ...],
    sessions: tuple[SessionTurnout, ...],
    *,
    draws: int = 1000,
    seed: int = 1,
    records_used: int = 0,
    turnout: Beta = SINGLE_PEOPLE,
    class_turnout: Beta = WHOLE_CLASS,
) -> Forecast:
    """Return after how many of the coming sessions the work left is done.

    Args:
        work: What is left, by kind.
        sessions: The sessions to come, in order of day. When they do not suffice
            they are taken to come round again in the same order.
        draws: How many times to draw, 1 or more.
        seed: Of the draws; the same seed gives the same forecast.
        records_used: How many records the efforts were learned from, to be said.
        turnout: Belief about one person's chance of turning up.
        class_turnout: Belief about a class coming at all.

    Raises:
        NothingPlanned: If no session lies ahead, or nobody is signed up for any.

    Source:
        Monte Carlo with common factors by kind; turnout Beta-binomial, one
        chance drawn per session.

    Assumes:
        Any work can be done by anybody who comes: skills, tools, order and
        season are left out, so the forecast is a hopeful one.
    """
    if not any(s.singles or s.classes for s in sessions):
        raise NothingPlanned(
            "No session with sign-ups lies ahead, so nothing can be forecast. Open the sign-up."
        )
    generator = np.random.default_rng(seed)
    needed = _draw_work(generator, work, draws)
    given = _draw_sessions(generator, sessions, draws, turnout, class_turnout)
    finished = np.sort(_sessions_until(needed, given))
    points = [_finish_point(finished, share, sessions) for share in (0.1, 0.5, 0.9)]
    return Forecast(
        p10=points[0],
        p50=points[1],
        p90=points[2],
        draws=draws,
        seed=seed,
        records_used=records_used,
        assumptions=(
            f"{turnout.mean:.0%} of those signed up singly come, on average.",
            "Work of one kind is slow or quick together; kinds are independent.",
            "Skills, tools, order and season are left out, so this is a hopeful forecast.",
            "When the sessions planned do not suffice, they come round again.",
        ),
    )


def _draw_work(
    generator: np.random.Generator, work: tuple[WorkLeft, ...], draws: int
) -> NDArray[np.float64]:
    """Return the adult minutes needed in each draw, shape (draws,)."""
    total = np.zeros(draws)
    for part in work:
        effort = part.effort
        normal = generator.standard_normal(draws)
        if effort.likely_min <= 0:
            continue
        low = max(effort.low_min, effort.likely_min / 100)
        spread = np.log(effort.high_min / low) / (2 * TENTH_OF_NORMAL)
        total += effort.likely_min * np.exp(spread * normal)
    return total


def _draw_sessions(
    generator: np.random.Generator,
    sessions: tuple[SessionTurnout, ...],
    draws: int,
    turnout: Beta,
    class_turnout: Beta,
) -> NDArray[np.float64]:
    """Return the adult minutes each session gives in each draw, shape (draws, sessions)."""
    given = np.zeros((draws, len(sessions)))
    for number, session in enumerate(sessions):
        chance = generator.beta(turnout.came, turnout.missed, draws)
        given[:, number] = generator.binomial(session.singles, chance) * session.adult_min_each
        for group in session.classes:
            comes = generator.random(draws) < class_turnout.mean
            given[:, number] += comes * group.adult_min
    return given


def _sessions_until(needed: NDArray[np.float64], given: NDArray[np.float64]) -> NDArray[np.int64]:
    """Return, for each draw, how many sessions it takes; at most `MOST_SESSIONS`."""
    cycles = -(-MOST_SESSIONS // given.shape[1])
    run = np.cumsum(np.tile(given, (1, cycles)), axis=1)[:, :MOST_SESSIONS]
    enough = run >= needed[:, None]
    first = np.where(enough.any(axis=1), enough.argmax(axis=1) + 1, MOST_SESSIONS)
    return np.where(needed <= 0, 0, first).astype(np.int64)


def _finish_point(
    finished: NDArray[np.int64], share: float, sessions: tuple[SessionTurnout, ...]
) -> FinishPoint:
    index = min(len(finished) - 1, int(np.ceil(share * len(finished))) - 1)
    number = int(finished[max(0, index)])
    on = sessions[number - 1].on if 1 <= number <= len(sessions) else None
    return FinishPoint(number, on)
