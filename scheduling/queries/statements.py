"""Reads what a supervision statement says: the class, the session, the answer and its sets."""

from datetime import datetime
from zoneinfo import ZoneInfo

from orchard.queries.units import load_site_system
from scheduling.domain.class_visit import ClassNumbers
from scheduling.models import SchoolGroup
from scheduling.queries.class_checks import check_class_at
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rosters import load_session_facts, load_site_facts
from scheduling.queries.session_rows import get_session_row
from scheduling.sheets.statement import AdoptedLine, StatementFacts


def load_statement(
    *, session_id: int, group_id: int, numbers: ClassNumbers, at: datetime
) -> StatementFacts:
    """Return the facts of a supervision statement for a class at a session.

    Args:
        session_id: The session.
        group_id: The class on file; its name, school and needs are printed.
        numbers: The class as the liaison described it.
        at: Now, aware.

    Raises:
        SessionUnknown: If there is no such session.
        RosterError: If the numbers cannot be together.
    """
    session = get_session_row(session_id)
    group = SchoolGroup.objects.get(pk=group_id)
    answer = check_class_at(session_id, numbers, group_id=group_id)
    problem = load_roster_problem(session_id, without_groups=(group_id,))
    return StatementFacts(
        site=load_site_facts(session),
        session=load_session_facts(session, problem),
        school=group.school,
        class_name=group.name,
        needs=group.needs,
        check=answer.check,
        adopted=tuple(
            AdoptedLine(
                code=each.kept.code,
                version=each.kept.version,
                title=each.kept.title,
                source=each.kept.source,
                status=each.kept.status,
                checked_on=each.kept.rules.checked_on,
                confirmed_by=each.kept.confirmed_name,
                declared_by=each.school,
            )
            for each in answer.adopted
        ),
        made_at=at.astimezone(ZoneInfo(session.season.site.time_zone)),
        system=load_site_system(session.season.site_id),
    )
