"""Judges an answer document against its problem, without the planner.

Exit codes: 0 no rule is broken; 1 some are; 2 a document cannot be read; 3 the
answer holds no roster or plan to judge.
"""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from scheduling.domain.documents import day_problem, day_roster, season_plan, season_problem
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.day_roster import read_day_roster
from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.judge_day import judge_day
from scheduling.domain.documents.judge_season import judge_season
from scheduling.domain.documents.judgement import Judgement
from scheduling.domain.documents.parsing import find_format
from scheduling.domain.documents.season_plan import read_season_plan
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.roster import SolveStatus
from scheduling.domain.wording import plural
from scheduling.management import problem_files
from scheduling.management.problem_files import FileTrouble

ANSWERS = {
    day_problem.FORMAT: day_roster.FORMAT,
    season_problem.FORMAT: season_plan.FORMAT,
}


class Command(BaseCommand):
    """Read both documents, judge, print what is broken and the objective counted anew."""

    help = (
        "Judges an answer (day-roster/1 or season-plan/1) against its problem: prints every broken "
        "rule and the objective counted anew. Exit codes: 0 no rule is broken, 1 some are, 2 a "
        "document cannot be read, 3 the answer holds nothing to judge."
    )
    requires_system_checks: list[str] = []  # noqa: RUF012  # as the base class has it

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("problem", metavar="PROBLEM.json", help="the problem")
        parser.add_argument("answer", metavar="ANSWER.json", help="the answer to judge")

    def handle(self, *_args: Any, **options: Any) -> None:
        """Judge once and leave with the code that says what was found."""
        name = options["problem"]
        try:
            problem = problem_files.read_document(name)
            format_ = find_format(problem)
            if format_ not in ANSWERS:
                known = " or ".join(f"“{one}”" for one in ANSWERS)
                raise DocumentFault(f"the format is to be {known}.", ("format",))
            judge = _judge_day if format_ == day_problem.FORMAT else _judge_season
            judgement, status = judge(problem, options)
        except _AnswerFault as fault:
            self._leave(problem_files.fault_words(options["answer"], fault.fault), 2)
        except DocumentFault as fault:
            self._leave(problem_files.fault_words(name, fault), problem_files.BAD_INPUT)
        except FileTrouble as trouble:
            self._leave(str(trouble), problem_files.BAD_INPUT)
        if judgement is None:
            self.stdout.write(f"The answer is {status} and holds nothing to judge.")
            sys.exit(problem_files.NO_ANSWER)
        self._tell(judgement)
        if judgement.broken:
            sys.exit(problem_files.BROKEN)

    def _tell(self, judgement: Judgement) -> None:
        for broken in judgement.broken:
            self.stdout.write(f"{broken.rule}: {broken.text}")
        count = len(judgement.broken)
        self.stdout.write(f"{plural(count, 'finding')}." if count else "No rule is broken.")
        stated = dict(judgement.stated)
        for figure, value in judgement.counted:
            said = stated.get(figure)
            agrees = "as stated" if said == value else f"the answer states {said}"
            self.stdout.write(f"{figure}: {value} ({agrees})")

        for claim in judgement.claims:
            self.stdout.write(f"Not so: {claim}")

    def _leave(self, line: str, code: int) -> None:
        self.stderr.write(line)
        sys.exit(code)


class _AnswerFault(Exception):
    """A fault of the answer's document, not the problem's."""

    def __init__(self, fault: DocumentFault) -> None:
        super().__init__(fault.message)
        self.fault = fault


Judged = tuple[Judgement | None, SolveStatus]


def _judge_day(problem: str, options: dict[str, Any]) -> Judged:
    document = read_day_problem(problem)
    try:
        answer = read_day_roster(problem_files.read_document(options["answer"]))
    except DocumentFault as fault:
        raise _AnswerFault(fault) from fault
    if _is_empty(answer.status) and not answer.assignments and not answer.units:
        return None, answer.status
    return judge_day(document, answer), answer.status


def _judge_season(problem: str, options: dict[str, Any]) -> Judged:
    document = read_season_problem(problem)
    try:
        answer = read_season_plan(problem_files.read_document(options["answer"]))
    except DocumentFault as fault:
        raise _AnswerFault(fault) from fault
    if _is_empty(answer.status) and not answer.units:
        return None, answer.status
    return judge_season(document, answer), answer.status


def _is_empty(status: SolveStatus) -> bool:
    return status in (SolveStatus.IMPOSSIBLE, SolveStatus.UNDECIDED)
