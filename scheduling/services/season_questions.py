"""Asks for answers about a season: what would make more of the open work fit.

Whether it can be asked at all is found out first. Not for answering:
`season_changes` does, within `searches`.
"""

from scheduling.queries.runs import CHANGES
from scheduling.queries.season_problems import load_open_season
from scheduling.services.day_questions import Asker
from scheduling.services.runs import RunReceipt, start_season_answer_run
from scheduling.services.season_changes import load_plan_at_hand


def ask_for_season_changes(*, season_id: int, asker: Asker) -> RunReceipt:
    """Ask which changes make more of the open work fit, or return the search under way.

    Args:
        season_id: The season.
        asker: Who asks, and for how long.

    Raises:
        NothingPlanned: If nothing is left to plan.
        SearchRefused: If there is no plan, or the one there is does not fit the season any more.
    """
    load_plan_at_hand(season_id, load_open_season(season_id, at=asker.at))
    return start_season_answer_run(
        kind=CHANGES,
        season_id=season_id,
        seconds=asker.seconds,
        seed=asker.seed,
        by=asker.by,
        at=asker.at,
    )
