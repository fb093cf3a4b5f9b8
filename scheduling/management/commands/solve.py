"""Solves a problem document and writes the answer, without a database.

Exit codes: 0 an answer was written (best or good); 1 a fault of the planner;
2 the problem or a path cannot be used, nothing written; 3 proven impossible,
written with the reasons; 4 undecided, an answer already there is kept.
"""

import signal
import sys
import time
from argparse import ArgumentParser, ArgumentTypeError
from collections.abc import Iterator
from contextlib import contextmanager
from math import isfinite
from threading import Event
from typing import Any

from django.core.management.base import BaseCommand

from orchard.domain.errors import RosterError
from scheduling.domain.documents import day_problem, season_problem
from scheduling.domain.documents.answers import answer_day, answer_season
from scheduling.domain.documents.day_case import build_day
from scheduling.domain.documents.day_problem import read_day_problem
from scheduling.domain.documents.faults import DocumentFault
from scheduling.domain.documents.parsing import find_format
from scheduling.domain.documents.remarks import list_day_remarks, list_season_remarks
from scheduling.domain.documents.season_case import build_season
from scheduling.domain.documents.season_problem import read_season_problem
from scheduling.domain.documents.writing import write_day_roster, write_season_plan
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.planner.limits import Limits
from scheduling.domain.planner.progress import Progress
from scheduling.domain.roster import SolveStatus
from scheduling.management import problem_files
from scheduling.management.problem_files import FileTrouble

MOST_SECONDS = 86_400.0
MOST_WORKERS = 64
WRITING_S = 0.15  # kept back for checking and writing the answer
LEAST_S = 0.05  # what is left to a search that loading has eaten
SENTENCES_SHOWN = 6

STATUS_WORDS = {
    SolveStatus.BEST: "proven best",
    SolveStatus.GOOD: "good, not proven best",
    SolveStatus.IMPOSSIBLE: "impossible: no answer keeps every rule",
    SolveStatus.UNDECIDED: "undecided: no answer was found in time, and none is ruled out",
}
EXIT_CODES = {
    SolveStatus.BEST: problem_files.DONE,
    SolveStatus.GOOD: problem_files.DONE,
    SolveStatus.IMPOSSIBLE: problem_files.NO_ANSWER,
    SolveStatus.UNDECIDED: problem_files.UNDECIDED,
}
Solved = tuple[SolveStatus, str, tuple[str, ...]]  # status, the answer's text, what to add


class Command(BaseCommand):
    """Read, search, write; progress and everything that is no answer goes to standard error."""

    help = (
        "Solves a problem document (day-problem/1 or season-problem/1) and writes the answer. "
        "Ctrl-C ends the search with the best answer so far. Exit codes: 0 an answer was written, "
        "1 a fault of the planner, 2 the problem or a path cannot be used, 3 impossible (written, "
        "with reasons), 4 undecided (an answer that is already there is kept)."
    )
    requires_system_checks: list[str] = []  # noqa: RUF012  # as the base class has it
    _before = 0.0

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument("problem", metavar="PROBLEM.json", help="the problem; - reads it in")
        parser.add_argument(
            "--output", required=True, metavar="ANSWER.json", help="the answer; - prints it"
        )
        parser.add_argument(
            "--seconds",
            type=_seconds,
            default=30.0,
            metavar="N",
            help="most seconds in all, loading and reading included (default: 30)",
        )
        parser.add_argument("--seed", type=_whole(0, 2**31 - 1), default=1, metavar="N")
        parser.add_argument("--workers", type=_whole(1, MOST_WORKERS), default=2, metavar="N")

    def run_from_argv(self, argv: list[str]) -> None:
        """Run as a program of its own: then its loading counts as well."""
        self._before = problem_files.seconds_since_start()
        super().run_from_argv(argv)

    def handle(self, *_args: Any, **options: Any) -> None:
        """Solve once and leave with the code that says how it ended."""
        clock = _Clock(options["seconds"], self._before)
        name, output = options["problem"], options["output"]
        with _stop_signals() as stop:
            try:
                problem_files.check_can_write(name, output)
                text = problem_files.read_document(name)
                status, answer, remarks = self._solve(text, clock, stop, options)
                kept = self._write(output, status, answer)
            except DocumentFault as fault:
                self._leave(problem_files.fault_words(name, fault), problem_files.BAD_INPUT)
            except RosterError as problem:
                self._leave(f"{name}: {problem.message}", problem_files.BAD_INPUT)
            except FileTrouble as trouble:
                self._leave(str(trouble), problem_files.BAD_INPUT)
            except EngineFault as fault:
                self._leave(
                    f"A fault of the planner, nothing is written: {fault} Please report it with "
                    "the problem document.",
                    problem_files.FAULT,
                )
        self._tell(f"{STATUS_WORDS[status].capitalize()}. {clock.seconds:.1f} s.")
        for remark in (*kept, *remarks):
            self._tell(remark)
        if EXIT_CODES[status]:
            sys.exit(EXIT_CODES[status])

    def _solve(self, text: str, clock: "_Clock", stop: Event, options: dict[str, Any]) -> Solved:
        format_ = find_format(text)
        if format_ not in (day_problem.FORMAT, season_problem.FORMAT):
            said = f"“{format_[:40]}”" if format_ else "nothing"
            raise DocumentFault(
                f"{said} stands where “{day_problem.FORMAT}” or “{season_problem.FORMAT}” is "
                "asked for.",
                ("format",),
            )
        solve = self._solve_day if format_ == day_problem.FORMAT else self._solve_season
        return solve(text, clock, stop, options)

    def _solve_day(
        self, text: str, clock: "_Clock", stop: Event, options: dict[str, Any]
    ) -> Solved:
        # Loaded once signals are listened to: a Ctrl-C half way through loading is one like any.
        from scheduling.domain.planner.day import solve_roster

        document = read_day_problem(text)
        self._remark(list_day_remarks(document))
        case = build_day(document)
        result = solve_roster(
            case.problem,
            case.conditions,
            clock.limits(options),
            on_progress=self._follow(clock),
            should_stop=stop.is_set,
        )
        answer = answer_day(case, result, clock.seconds)
        remarks = answer.reasons or result.unfilled
        return result.status, write_day_roster(answer), _some(remarks)

    def _solve_season(
        self, text: str, clock: "_Clock", stop: Event, options: dict[str, Any]
    ) -> Solved:
        from scheduling.domain.planner.season import solve_season  # as above

        document = read_season_problem(text)
        self._remark(list_season_remarks(document))
        case = build_season(document)
        result = solve_season(
            case.problem,
            clock.limits(options),
            on_progress=self._follow(clock),
            should_stop=stop.is_set,
        )
        answer = answer_season(case, result, clock.seconds)
        return result.status, write_season_plan(answer), _some(answer.reasons or result.left_out)

    def _remark(self, remarks: tuple[str, ...]) -> None:
        for remark in _some(remarks):
            self._tell(f"Note: {remark}")

    def _write(self, output: str, status: SolveStatus, answer: str) -> tuple[str, ...]:
        if status is SolveStatus.UNDECIDED and problem_files.has_answer(output):
            return (f"The answer that was in {output} is kept.",)
        problem_files.write_answer(output, answer)
        return ()

    def _follow(self, clock: "_Clock") -> Any:
        last: list[tuple[str, int | None, int | None]] = []

        def tell(progress: Progress) -> None:
            now = (progress.stage, progress.value, progress.bound)
            if now not in last[-1:]:
                last.append(now)
                self._tell(_progress_words(progress, clock.seconds))

        return tell

    def _tell(self, line: str) -> None:
        self.stderr.write(line)
        self.stderr.flush()

    def _leave(self, line: str, code: int) -> None:
        self._tell(line)
        sys.exit(code)


class _Clock:
    """Seconds since the program was started; the search gets what loading left of them."""

    def __init__(self, seconds: float, before: float) -> None:
        self._allowed = seconds
        self._before = before
        self._started = time.monotonic()

    @property
    def seconds(self) -> float:
        return self._before + time.monotonic() - self._started

    def limits(self, options: dict[str, Any]) -> Limits:
        left = self._allowed - self.seconds - WRITING_S
        return Limits(max(LEAST_S, left), options["seed"], options["workers"])


@contextmanager
def _stop_signals() -> Iterator[Event]:
    """Give an event that Ctrl-C and SIGTERM set; a second Ctrl-C ends the program as ever."""
    stop = Event()

    def note(number: int, _frame: object) -> None:
        if stop.is_set():
            signal.signal(number, signal.SIG_DFL)
            signal.raise_signal(number)
        stop.set()

    before = {number: signal.signal(number, note) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _progress_words(progress: Progress, seconds: float) -> str:
    parts = [f"{progress.stage}: {'none yet' if progress.value is None else progress.value}"]
    if progress.bound is not None:
        parts.append(f"bound {progress.bound}")
        if progress.value is not None:
            gap = abs(progress.bound - progress.value) / max(1, abs(progress.value))
            parts.append(f"gap {gap:.1%}")
    parts.append(f"{seconds:.1f} s")
    return ", ".join(parts)


def _some(sentences: tuple[str, ...]) -> tuple[str, ...]:
    if len(sentences) <= SENTENCES_SHOWN + 1:
        return sentences
    return (*sentences[:SENTENCES_SHOWN], f"And {len(sentences) - SENTENCES_SHOWN} more.")


def _seconds(written: str) -> float:
    try:
        seconds = float(written)
    except ValueError:
        seconds = 0.0
    if not isfinite(seconds) or not 0 < seconds <= MOST_SECONDS:
        raise ArgumentTypeError(f"{written} is given; give more than 0 and at most 86400 seconds.")
    return seconds


def _whole(least: int, most: int) -> Any:
    def read(written: str) -> int:
        if not written.isascii() or not written.isdigit() or not least <= int(written) <= most:
            raise ArgumentTypeError(f"{written} is given; give a whole number, {least} to {most}.")
        return int(written)

    return read
