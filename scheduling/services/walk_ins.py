"""People who came without a sign-up: who of them may be taken in, and signing them up.

They are of this site and known to it. The rules answer as they do at sign-up; only
that the session has begun does not keep anybody out here. Nobody waits in line.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from scheduling.domain.admission import check_admission
from scheduling.domain.errors import AnswerRefused
from scheduling.domain.hand_edit import Left
from scheduling.domain.people import PersonId
from scheduling.domain.problem import Person, RosterProblem
from scheduling.domain.rule import Severity
from scheduling.domain.session_limits import build_full_finding
from scheduling.models import Person as PersonRow
from scheduling.models import Session, SignUp
from scheduling.queries.problems import load_roster_problem
from scheduling.services.waiting import columns_outside_line

NOT_OF_SITE = "Somebody cannot be taken in who is not, or no longer, of this site."


@dataclass(frozen=True, slots=True)
class WalkIns:
    """Who is taken in, as the day sees them; and who cannot be, each with the reason."""

    people: tuple[Person, ...]
    refused: tuple[str, ...]


def admit_walk_ins(session_id: int, problem: RosterProblem, came: tuple[Left, ...]) -> WalkIns:
    """Return who of those who came unannounced may be taken in; nothing is kept.

    Adults are asked first, each beside those taken in before, so that a child
    may be there because a guardian came along.

    Args:
        session_id: The session.
        problem: Its day with everybody signed up.
        came: Who came, with the first round they are there.
    """
    if not came:
        return WalkIns((), ())
    known = {person.id for person in problem.people}
    from_round = {person: at for person, at in came if person not in known}
    session = Session.objects.select_related("season").get(pk=session_id)
    people = PersonRow.objects.filter(site_id=session.season.site_id, active=True)
    here = set(people.filter(pk__in=from_round).values_list("pk", flat=True))
    wider = load_roster_problem(session_id, also_people=here)
    new = [p for p in wider.people if p.id in here]
    new.sort(key=lambda person: (person.is_young, -person.age, person.id))
    taken: list[Person] = []
    refused = [NOT_OF_SITE] * (len(from_round) > len(here))
    for person in new:
        beside = replace(wider, people=(*problem.people, *taken, person))
        why = _why_not(beside, person, session.capacity)
        if why:
            refused.append(f"{person.name} cannot be taken in. {why}")
        else:
            taken.append(person)
    there = (_from_round(person, from_round[person.id]) for person in taken)
    return WalkIns(tuple(sorted(there, key=lambda person: person.id)), tuple(refused))


def sign_up_walk_ins(
    *, session: Session, problem: RosterProblem, people: Iterable[int], at: datetime
) -> None:
    """Sign up those who came unannounced, so that papers and records know them; twice is once.

    Called within a transaction that holds the session's lock.

    Raises:
        AnswerRefused: If somebody may not be taken in any more.
    """
    came = tuple((PersonId(person), 0) for person in sorted(people))
    found = admit_walk_ins(session.pk, problem, came)
    if found.refused:
        raise AnswerRefused(" ".join(found.refused))
    for person in found.people:
        SignUp.objects.update_or_create(
            session=session,
            person_id=person.id,
            defaults=columns_outside_line(SignUp.State.CONFIRMED, at),
        )


def _why_not(problem: RosterProblem, person: Person, capacity: int) -> str:
    if len(problem.people) > capacity:
        full = build_full_finding(
            problem.name, capacity=capacity, coming=len(problem.people) - 1, newcomers=1
        )
        return full.text
    findings = check_admission(problem, (person.id,)).findings
    blocking = [f for f in findings if f.severity is Severity.BLOCKS]
    return f"{blocking[0].text} {blocking[0].remedy}".strip() if blocking else ""


def _from_round(person: Person, first: int) -> Person:
    there = tuple(here and r >= first for r, here in enumerate(person.present))
    return replace(person, present=there)
