"""In every crew the supervising adults are enough for the young people in it, each
counted at the ratio of their age.

Shares are added as exact fractions and compared without rounding: over the
least common multiple of the ratios, an adult supplies the whole and each young
person asks for their part. How ages combine is common practice; the ratios are
the declared table's.
"""

from scheduling.domain.condition import Balance, Condition, Per, Reason
from scheduling.domain.problem import RosterProblem
from scheduling.domain.supervision import common_denominator, needs_supervision, supervises
from scheduling.domain.wording import list_words, stop


class SupervisionRatio:
    """The declared table of ratios, crew by crew."""

    code = "SUP-1"
    sentence = (
        "In every crew the supervising adults are enough for the young people in it, each "
        "counted at the ratio of their age."
    )
    source = (
        "The site's declared table; as shipped, NSPCC Learning, Recommended adult to child "
        "ratios for working with children, September 2023"
    )
    status = "published"
    waivable = False
    applies_to = "crews and sessions with young people"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return one balance of supervising adults and young people, for each crew."""
        table = problem.policy.supervision
        young = [person for person in problem.people if needs_supervision(problem, person)]
        adults = [person for person in problem.people if supervises(problem, person)]
        if not young:
            return ()
        whole = common_denominator(table, (person.age for person in young))
        ratios = sorted({table.per_adult(person.age) for person in young})
        names = list_words([person.name for person in adults])
        text = (
            f"A crew's young people need supervising adults ({table.adult_from} or over, "
            f"background check in date) by the table {table.name}: one to "
            f"{list_words([str(ratio) for ratio in ratios], most=len(ratios))} by age; "
            f"those who count here: {stop(names)}"
        )
        remedy = "Move a checked adult into the crew, or a young person to another crew."
        return (
            Balance(
                Reason(self.code, text, table.source, remedy),
                supply=tuple((person.id, whole) for person in adults),
                demand=tuple((p.id, whole // table.per_adult(p.age)) for p in young),
                per=Per.CREW,
            ),
        )
