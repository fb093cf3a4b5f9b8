"""What keeps a season's sessions pleasant: room for weather, varied work, work for the young.

The figures are proposals, to be changed by the site; `say_comfort` names them in the
plan's words. Not for what is safe or allowed: that is the rule book's.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from orchard.domain.errors import RosterError
from scheduling.domain.people import ItemId, SessionId
from scheduling.domain.season import PlannedUnits, SeasonProblem
from scheduling.domain.wording import day_words, list_words

SOURCE = "proposed"  # of every figure here: common practice, no source


@dataclass(frozen=True, slots=True)
class Comfort:
    """The figures, with their source.

    `kept_free_percent` of every session's person-minutes is not planned, so that
    a shower or a slow start upsets nothing. No heavy kind of work takes more than
    `heavy_most_percent` of what is planned with. `young_percent` of the minutes that young people
    bring should be work they may do; a minute short costs `young_penalty`, in
    thousandths of what an adult's minute of work of the lowest priority is worth.
    """

    kept_free_percent: int = 10
    heavy_most_percent: int = 70
    young_percent: int = 50
    young_penalty: int = 500
    source: str = SOURCE

    def __post_init__(self) -> None:
        """Refuse figures nobody can plan with.

        Raises:
            RosterError: With the figure, its limits and what to do.
        """
        for name, percent in (
            ("kept free for weather", self.kept_free_percent),
            ("of one heavy kind of work", self.heavy_most_percent),
            ("for the young", self.young_percent),
        ):
            if not 0 <= percent <= 100:
                raise RosterError(f"{percent} % {name} is not a share; give 0 to 100 %.")
        if self.young_penalty < 0:
            raise RosterError(
                f"A minute without work for the young costs {self.young_penalty}; give 0 or more."
            )


NO_COMFORT = Comfort(kept_free_percent=0, heavy_most_percent=100, young_percent=0, young_penalty=0)


def say_comfort(problem: SeasonProblem, planned: Iterable[PlannedUnits]) -> tuple[str, ...]:
    """Return in sentences what a plan keeps for comfort's sake, and where it falls short.

    Args:
        problem: The season; its figures count.
        planned: The plan.

    Returns:
        Nothing where the season asks for nothing.
    """
    said = []
    if problem.kept_free_percent:
        said.append(
            f"{problem.kept_free_percent} % of each session's person-minutes is kept free for "
            "weather and slow starts."
        )
    if problem.heavy_kinds and problem.heavy_most_percent < 100:
        said.append(
            "Sessions stay varied: no heavy kind of work "
            f"({list_words(list(problem.heavy_kinds))}) takes more than "
            f"{problem.heavy_most_percent} % of a session's minutes."
        )
    if problem.young_penalty:
        said += _short_of_young_work(problem, planned)
    return tuple(said)


def _short_of_young_work(problem: SeasonProblem, planned: Iterable[PlannedUnits]) -> list[str]:
    units: dict[tuple[ItemId, SessionId], int] = {}
    for part in planned:
        key = (part.item, part.session)
        units[key] = units.get(key, 0) + part.units
    said = []
    for session in problem.sessions:
        for band, least in session.young:
            minutes = sum(
                units.get((item.id, session.id), 0) * demand.minutes_per_unit
                for item in problem.items
                for demand in item.demands
                if demand.least_band <= band and not demand.skill
            )
            if minutes < least:
                said.append(
                    f"{day_words(session.on)} holds {minutes} of the {least} minutes of work "
                    "wished for its young people."
                )
                break
    return said
