"""A crew has no more holes open at once than the site allows.

Told to the crew: bore, dose and fill in batches, and no hole is left unattended
and uncovered at any moment. That all are filled by the end is CLO-1's.
"""

from scheduling.domain.condition import Condition, Notice, Reason, Severity
from scheduling.domain.problem import RosterProblem
from scheduling.domain.wording import unit_words


class OpenHoles:
    """Open holes to one crew."""

    code = "HOL-1"
    sentence = "A crew has no more holes open at once than the site allows."
    source = (
        "Batch proposed; cover or barricade: California Code of Regulations, Title 8 §1542(a)(3)"
    )
    status = "proposed"
    waivable = True
    applies_to = "tasks that leave holes"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return a note for each task with more holes than may be open at once."""
        limits = problem.policy.facilities
        if limits is None:
            return ()
        most = limits.open_holes_per_crew
        return tuple(
            Notice(
                Reason(
                    self.code,
                    f"“{task.title}” bores {unit_words(task.units, task.unit)}; at most {most} are "
                    "open at once without a cover or somebody within 3 m.",
                    problem.policy.cite("facilities.open_holes_per_crew"),
                    f"Bore and fill in batches of {most}; bring boards or cones for the others.",
                    Severity.NOTES,
                ),
                required=most,
                found=task.units,
                task=task.id,
            )
            for task in problem.tasks
            if task.opens_ground and task.units > most
        )
