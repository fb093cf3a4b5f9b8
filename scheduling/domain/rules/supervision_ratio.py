"""In every crew, and over all at work in a round, the supervising adults are enough for the
young people, by every adopted table and its own way of combining ages.

Crew by crew the ratio alone holds; over the round the leaders a table adds and
the site's uncommitted lead come on top, and the table's floor. Adults at a
powered tool do not count, nor does the only first aider. A table without
numbers asks for a risk assessment by name and date instead.
"""

from scheduling.domain.condition import (
    AtMost,
    Condition,
    Notice,
    Per,
    Reason,
    Section,
    Severity,
    Supervised,
)
from scheduling.domain.policy import SupervisionTable
from scheduling.domain.powered import powered_tasks
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.supervision import name_supply, needs_supervision, supply_by_rounds
from scheduling.domain.wording import day_words, list_words, number_words, stop

SENTENCE = (
    "In every crew, and over all at work in a round, the supervising adults are enough for the "
    "young people, by every adopted table and its own way of combining ages."
)
REMEDY = "Move a checked adult into the crew, or a young person to another crew."
REMEDY_ROUND = "Bring one more checked adult for the round, or fewer young people."


class SupervisionRatio:
    """The adopted tables of ratios, crew by crew and round by round."""

    code = "SUP-1"
    sentence = SENTENCE
    source = (
        "The site's adopted tables; as shipped, NSPCC Learning, Recommended adult to child "
        "ratios for working with children, September 2023"
    )
    status = "published"
    waivable = False
    applies_to = "every crew and every round with young people in it"

    def conditions(self, problem: RosterProblem) -> tuple[Condition, ...]:
        """Return what each adopted table asks of crews and of rounds."""
        young = [person for person in problem.people if needs_supervision(problem, person)]
        if not young:
            return ()
        found: list[Condition] = []
        for table in problem.policy.tables:
            found += self._about(problem, table, young)
            sections = sections_of(table, young)
            if sections:
                found += self._of_table(problem, table, sections)
        return tuple(found)

    def _of_table(
        self, problem: RosterProblem, table: SupervisionTable, sections: tuple[Section, ...]
    ) -> list[Condition]:
        found: list[Condition] = []
        supplies = supply_by_rounds(problem, table)
        numbered = any(section.per_adult for section in sections)
        for rounds, adults in supplies:
            when = None if len(supplies) == 1 else rounds
            if numbered:
                found.append(self._of_crews(problem, table, sections, adults, when))
            found.append(self._of_rounds(problem, table, sections, adults, when))
        return found

    def _of_crews(
        self,
        problem: RosterProblem,
        table: SupervisionTable,
        sections: tuple[Section, ...],
        adults: tuple[Person, ...],
        rounds: tuple[int, ...] | None,
    ) -> Supervised:
        combining = table.crew_combining or table.combining
        text = (
            f"A crew's young people need supervising adults ({table.adult_from} or over, "
            f"background check in date) by the table {table.name}: {_ratios(sections)}, "
            f"{combining.words}; those who count here: "
            f"{stop(name_supply(problem, table, adults))}"
        )
        return Supervised(
            Reason(self.code, text, table.source, REMEDY),
            adults=tuple(person.id for person in adults),
            sections=tuple(Section(s.people, s.per_adult) for s in sections if s.per_adult),
            combining=combining,
            plus=0,
            least=1,
            per=Per.CREW,
            rounds=rounds,
        )

    def _of_rounds(
        self,
        problem: RosterProblem,
        table: SupervisionTable,
        sections: tuple[Section, ...],
        adults: tuple[Person, ...],
        rounds: tuple[int, ...] | None,
    ) -> Supervised:
        leads = problem.policy.uncommitted_leads
        extra = f", and {number_words(leads)} more in charge" if leads else ""
        text = (
            f"All young people at work in a round need supervising adults by the table "
            f"{table.name}: {_ratios(sections)}, {table.combining.words}{_added(table)}{extra}; "
            f"those who count here: {stop(name_supply(problem, table, adults))}"
        )
        source = table.source
        if leads:
            source = f"{source}; the lead in charge: {problem.policy.cite(LEADS)}"
        return Supervised(
            Reason(self.code, text, source, REMEDY_ROUND),
            adults=tuple(person.id for person in adults),
            sections=sections,
            combining=table.combining,
            plus=table.plus_leaders + leads,
            least=table.least_adults,
            per=Per.ROUND,
            rounds=rounds,
            not_at=tuple(task.id for task in powered_tasks(problem)),
        )

    def _about(
        self, problem: RosterProblem, table: SupervisionTable, young: list[Person]
    ) -> list[Condition]:
        """Return what a table asks that is no ratio: an assessment, a largest group, a caution."""
        found: list[Condition] = []
        if table.needs_assessment:
            found.append(self._assessment(problem, table))
        if table.status == "withdrawn":
            text = f"The table {table.name} is withdrawn guidance; adopt a current one beside it."
            reason = Reason(self.code, text, table.source, "", Severity.NOTES)
            found.append(Notice(reason))
        if table.largest_group:
            text = f"{table.name} lets at most {table.largest_group} young people work as one group"
            reason = Reason(self.code, stop(text), table.source, "Part the crew in two.")
            ids = tuple(person.id for person in young)
            found.append(AtMost(reason, table.largest_group, ids, None, Per.CREW))
        return found

    def _assessment(self, problem: RosterProblem, table: SupervisionTable) -> Notice:
        on = table.assessed_on
        if table.assessed_by and on is not None and on <= problem.on:
            text = f"{table.name}: risk assessed by {table.assessed_by} on {stop(day_words(on))}"
            return Notice(Reason(self.code, text, table.source, "", Severity.NOTES))
        text = (
            f"{table.name} names no ratio: it asks that the number of adults comes out of a risk "
            "assessment of activity, group, place and staff, and no name and date of one is given."
        )
        remedy = "Enter who assessed the risk, and on which day."
        return Notice(Reason(self.code, text, table.source, remedy))


LEADS = "company.uncommitted_leads"


def sections_of(table: SupervisionTable, young: list[Person]) -> tuple[Section, ...]:
    """Return the table's bands with the young people who fall under each, youngest first."""
    found: list[Section] = []
    for band in table.bands:
        ids = tuple(person.id for person in young if table.band_of(person.age) is band)
        if ids:
            found.append(Section(ids, band.per_adult, band.plus_leaders, band.least_adults))
    return tuple(found)


def _ratios(sections: tuple[Section, ...]) -> str:
    ratios = sorted({section.per_adult for section in sections if section.per_adult})
    if not ratios:
        return "no ratio at these ages"
    return f"one to {list_words([str(ratio) for ratio in ratios], most=len(ratios))} by age"


def _added(table: SupervisionTable) -> str:
    parts: list[str] = []
    if table.plus_leaders or any(band.plus_leaders for band in table.bands):
        parts.append("plus the leader in charge")
    if table.least_adults:
        parts.append(f"at least {table.least_adults}")
    return "".join(f", {part}" for part in parts)
