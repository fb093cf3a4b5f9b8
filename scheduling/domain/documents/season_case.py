"""From a season's document to what the planner takes, and the way back to the document's ids.

Front door: `build_season`. Not for judging (`judge_season`, which shares
nothing with this).
"""

from dataclasses import dataclass

from scheduling.domain.documents.season_problem import ItemEntry, SeasonDocument, SessionEntry
from scheduling.domain.people import Band, ItemId, SessionId
from scheduling.domain.season import (
    Demand,
    Item,
    PeopleClass,
    SeasonProblem,
    SeasonSession,
    SetCapacity,
    Stock,
)


@dataclass(frozen=True, slots=True)
class SeasonCase:
    """A season's document as the planner's problem.

    `sessions` holds the document's ids; session number n of the problem is at
    place n - 1. Items keep their ids.
    """

    document: SeasonDocument
    problem: SeasonProblem
    sessions: tuple[str, ...]

    def session_name(self, session: SessionId) -> str:
        """Return the document's id of a session of the problem."""
        return self.sessions[session - 1]


def build_season(document: SeasonDocument) -> SeasonCase:
    """Return the planner's season for a document.

    Args:
        document: As `read_season_problem` returns it.
    """
    problem = SeasonProblem(
        name=document.name,
        classes=tuple(PeopleClass(c.id, Band(c.band), c.skills) for c in document.classes),
        sessions=tuple(
            _session(SessionId(number), one)
            for number, one in enumerate(document.sessions, start=1)
        ),
        items=tuple(_item(one) for one in document.items),
        materials=tuple(Stock(one.id, one.deliveries) for one in document.materials),
        discount=document.discount,
    )
    return SeasonCase(document, problem, tuple(session.id for session in document.sessions))


def _session(id_: SessionId, entry: SessionEntry) -> SeasonSession:
    return SeasonSession(
        id=id_,
        on=entry.on,
        usable_min=entry.usable_minutes,
        people_expected=entry.people_expected,
        capacity=tuple(SetCapacity(classes, minutes) for classes, minutes in entry.capacity),
        tools=entry.tools,
        most_crews=entry.most_crews,
    )


def _item(entry: ItemEntry) -> Item:
    first, last = entry.window
    return Item(
        id=ItemId(entry.id),
        place=entry.place,
        kind=entry.kind,
        units=entry.units,
        demands=tuple(
            Demand(demand.skill or "", Band(demand.least_band), demand.minutes_per_unit)
            for demand in entry.demands
        ),
        crew_least=entry.crew_min,
        crew_most=entry.crew_max,
        tools=entry.tools,
        materials=entry.materials,
        sessions=tuple(range(first, last + 1)),
        after=tuple((ItemId(before), same) for before, same in entry.after),
        closes=None if entry.closes is None else ItemId(entry.closes),
        value_per_unit=entry.value_per_unit,
        finish_by=entry.finish_by,
        late_penalty=entry.late_penalty,
        split_penalty=entry.split_penalty,
    )
