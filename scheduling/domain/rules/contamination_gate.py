"""Nobody under 18 opens ground where a building stood until past use and a clear soil test
are on record.

Expect rubble, lead paint dust, old services and voids. Where a test is on record
and not clear, nobody opens the ground: what then may be done there is for
licensed practice and local codes. Where nobody said what stood there, that is
asked for.
"""

from scheduling.domain.condition import Condition, Forbid, Notice, Reason, Severity
from scheduling.domain.day_facts import ZoneFacts
from scheduling.domain.people import TaskId
from scheduling.domain.problem import RosterProblem


class ContaminationGate:
    """Past use and soil test before young people dig."""

    code = "CTM-1"
    sentence = (
        "Nobody under 18 opens ground where a building stood until past use and a clear soil test "
        "are on record."
    )
    source = "US EPA, Brownfields and Urban Agriculture: Interim Guidelines, 2011"
    status = "published"
    waivable = False
    applies_to = "tasks that open ground, by area"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return what each area's record refuses or asks for."""
        opening: dict[str, list[TaskId]] = {}
        for task in problem.tasks:
            if task.breaks_ground:
                opening.setdefault(task.zone, []).append(task.id)
        young = tuple(person.id for person in problem.people if person.is_young)
        found: list[Condition] = []
        for zone, tasks in sorted(opening.items()):
            known = None if problem.facts is None else problem.facts.find_zone(zone)
            if known is None or (known.was_building is None and known.soil_test_clear is None):
                found.append(self._ask(zone))
            elif known.soil_test_clear is False:
                found.append(self._closed(zone, tuple(tasks)))
            elif known.was_building and young and not _is_cleared(known):
                text = (
                    f"A building stood in {zone}, and {_missing(known)} not on record, so nobody "
                    "under 18 opens ground there."
                )
                remedy = f"Record past use and have the soil of {zone} tested, or let adults dig."
                reason = Reason(self.code, text, self.source, remedy)
                found.append(Forbid(reason, young, tuple(tasks)))
        return tuple(found)

    def _ask(self, zone: str) -> Notice:
        text = f"Nobody recorded what stood in {zone} before, and ground is opened there."
        remedy = f"Find out the past use of {zone} and record it; have the soil tested."
        return Notice(Reason(self.code, text, self.source, remedy, Severity.NOTES))

    def _closed(self, zone: str, tasks: tuple[TaskId, ...]) -> Forbid:
        text = f"The soil test of {zone} is on record and not clear, so nobody opens ground there."
        remedy = "Ask a licensed practice what may be done there, and plan other work."
        return Forbid(Reason(self.code, text, self.source, remedy), None, tasks)


def _is_cleared(zone: ZoneFacts) -> bool:
    return zone.past_use_recorded and zone.soil_test_clear is True


def _missing(zone: ZoneFacts) -> str:
    missing = [] if zone.past_use_recorded else ["its past use"]
    missing += [] if zone.soil_test_clear is True else ["a clear soil test"]
    return f"{' and '.join(missing)} {'is' if len(missing) == 1 else 'are'}"
