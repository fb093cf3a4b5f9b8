"""The commands `solve` and `judge`: files, exit codes, signals, time."""

import json
import os
import signal
import subprocess
import sys
import time
from io import StringIO
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from scheduling.domain.planner import day as day_engine
from scheduling.domain.planner import season as season_engine
from scheduling.domain.planner.errors import EngineFault
from scheduling.domain.roster import RosterResult, SolveStatus

CASES = Path(__file__).parents[2] / "cases" / "documents"
DAY, CLASS, IMPOSSIBLE, SEASON = (
    CASES / f"{name}.json"
    for name in ("april-morning", "class-visit", "no-first-aider", "spring-season")
)


def _run(name, *arguments):
    """Return (exit code, standard output, standard error) of a command."""
    out, err = StringIO(), StringIO()
    try:
        call_command(name, *map(str, arguments), stdout=out, stderr=err)
    except SystemExit as left:
        return left.code, out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


def _solve(problem, output, *arguments):
    return _run("solve", problem, "--output", output, "--seconds", 6, "--workers", 1, *arguments)


@pytest.mark.parametrize("problem", [DAY, CLASS, SEASON], ids=lambda path: path.stem)
def test_what_is_solved_is_judged_without_a_finding(problem, tmp_path):
    answer = tmp_path / "answer.json"

    code, _, err = _solve(problem, answer)
    judged, told, _ = _run("judge", problem, answer)

    assert code == 0
    assert "bound" in err
    assert (judged, told.splitlines()[0]) == (0, "No rule is broken.")
    assert all("(as stated)" in line for line in told.splitlines()[1:])
    assert [path.name for path in tmp_path.iterdir()] == ["answer.json"]


def test_the_same_problem_and_seed_give_the_same_answer_when_best(tmp_path):
    first, second = tmp_path / "1.json", tmp_path / "2.json"
    _solve(DAY, first)
    _solve(DAY, second)

    answers = [json.loads(path.read_text()) | {"seconds": 0} for path in (first, second)]
    assert answers[0]["status"] == "best"
    assert answers[0] == answers[1]


def test_an_impossible_day_is_written_with_its_reasons(tmp_path):
    answer = tmp_path / "answer.json"

    code, _, err = _solve(IMPOSSIBLE, answer)
    written = json.loads(answer.read_text())

    assert code == 3
    assert "Impossible" in err
    assert written["status"] == "impossible"
    assert written["objective"] is written["bound"] is None
    assert any("In round 3 one person with “first aid”" in reason for reason in written["reasons"])
    assert _run("judge", IMPOSSIBLE, answer)[:2] == (
        3, "The answer is impossible and holds nothing to judge.\n",
    )  # fmt: skip


def test_a_finding_of_the_judge_is_printed_and_leaves_with_one(tmp_path):
    answer = tmp_path / "answer.json"
    _solve(DAY, answer)
    changed = json.loads(answer.read_text())
    changed["assignments"]["p06"] = ["t03", "t03", "t03"]
    changed["objective"]["other_done"] += 1
    answer.write_text(json.dumps(changed))

    code, told, _ = _run("judge", DAY, answer)

    assert code == 1
    assert "present: Round 3: p06 has “t03” and is not there." in told
    assert "(the answer states 73)" in told


def test_the_answer_may_go_to_standard_output(capsys):
    code, _, err = _solve(DAY, "-")

    assert code == 0
    assert json.loads(capsys.readouterr().out)["status"] == "best"
    assert "Proven best." in err


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("{", "Line 1: the document is no JSON"),
        ('{"format": "day-roster/1"}', "format (line 1): “day-roster/1” stands where"),
        ('{\n"name": "x"}', "format (line 1): nothing stands where"),
        ("[1]", "an object in braces"),
        (DAY.read_text().replace('"rounds": 3', '"rounds": 0'), "rounds (line 5): 0 is given"),
        (SEASON.read_text().replace('"closes": "w02"', '"closes": "w03"'), "closes itself"),
    ],
)
def test_a_bad_problem_leaves_with_two_and_writes_nothing(text, words, tmp_path):
    problem, answer = tmp_path / "problem.json", tmp_path / "answer.json"
    problem.write_text(text)

    code, out, err = _solve(problem, answer)

    assert code == 2
    assert out == ""
    assert err.startswith(f"{problem}: ")
    assert words in err
    assert err.count("\n") == 1
    assert not answer.exists()
    assert _run("judge", problem, answer)[0] == 2


def test_files_that_cannot_be_used_are_told_before_any_search(tmp_path):
    problem = tmp_path / "problem.json"
    problem.write_text(DAY.read_text())

    assert "cannot be read" in _solve(tmp_path / "none.json", tmp_path / "a.json")[2]
    assert "is not there; make it" in _solve(problem, tmp_path / "no" / "a.json")[2]
    assert "is no file" in _solve(problem, tmp_path)[2]
    code, _, err = _solve(problem, problem)
    assert (code, "is the problem itself" in err) == (2, True)
    assert problem.read_text() == DAY.read_text()


@pytest.mark.parametrize(
    "arguments", [("--seconds", "nan"), ("--seconds", "0"), ("--workers", "0"), ("--seed", "-1")]
)
def test_limits_nobody_can_work_with_are_refused(arguments, tmp_path):
    with pytest.raises(CommandError, match="is given; give"):
        _run("solve", DAY, "--output", tmp_path / "a.json", *arguments)


def test_an_undecided_search_keeps_the_answer_that_is_there(tmp_path, monkeypatch):
    result = RosterResult(SolveStatus.UNDECIDED, None, None, None, 0.1, 1)
    monkeypatch.setattr(day_engine, "solve_roster", lambda *_a, **_k: result)
    answer = tmp_path / "answer.json"

    code, _, err = _solve(DAY, answer)
    assert code == 4
    assert json.loads(answer.read_text())["status"] == "undecided"

    answer.write_text("kept")
    code, _, err = _solve(DAY, answer)
    assert code == 4
    assert "Undecided" in err
    assert f"The answer that was in {answer} is kept." in err
    assert answer.read_text() == "kept"


def test_a_fault_of_the_planner_is_told_and_writes_nothing(tmp_path, monkeypatch):
    def fail(*_arguments, **_options):
        raise EngineFault("The solver's season breaks what must hold.", ("w01 is twice.",))

    monkeypatch.setattr(season_engine, "solve_season", fail)
    answer = tmp_path / "answer.json"

    code, _, err = _solve(SEASON, answer)

    assert code == 1
    assert "A fault of the planner, nothing is written" in err
    assert not answer.exists()


def test_a_write_that_fails_leaves_what_was_there(tmp_path, monkeypatch):
    answer = tmp_path / "answer.json"
    answer.write_text("kept")

    def full(*_arguments):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)
    code, _, err = _solve(DAY, answer)

    assert code == 2
    assert "No space left on device" in err
    assert answer.read_text() == "kept"
    assert [path.name for path in tmp_path.iterdir()] == ["answer.json"]


def _long_day(tmp_path):
    """Write a day that no search ends early on: many people, tasks and rounds."""
    from scheduling.domain.documents.writing import write_day_problem
    from tests.scheduling.domain.documents.small_documents import day, person, task

    people = [
        person(f"p{n}", rounds=6, holds=("lead", "first aid") if n % 5 == 0 else (), age=20 + n,
               preferences=(("core", n % 5 - 2), ("weed", (n * 7) % 5 - 2)))
        for n in range(30)
    ]  # fmt: skip
    tasks = [
        task(f"t{n}", kind="core" if n % 2 else "weed", units=17 + n, points_per_unit=3 + n % 4,
             value_per_unit=5 + (n * 3) % 7, crew_min=2, heavy=n % 3 == 0)
        for n in range(12)
    ]  # fmt: skip
    path = tmp_path / "long.json"
    path.write_text(write_day_problem(day(people, tasks, rounds=6, name="long")))
    return path


def _start(problem, answer, seconds):
    return subprocess.Popen(
        [sys.executable, str(settings.BASE_DIR / "manage.py"), "solve", str(problem),
         "--output", str(answer), "--seconds", str(seconds)],
        cwd=settings.BASE_DIR, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_the_search_with_the_best_so_far(number, tmp_path):
    problem, answer = _long_day(tmp_path), tmp_path / "answer.json"
    with _start(problem, answer, 120) as process:
        for line in process.stderr:
            if line.startswith("other work done"):
                break
        before = time.monotonic()
        process.send_signal(number)
        process.communicate(timeout=30)

    assert time.monotonic() - before < 10  # about a second on a quiet machine
    assert process.returncode == 0
    assert json.loads(answer.read_text())["status"] == "good"
    assert _run("judge", problem, answer)[0] == 0


def test_the_seconds_count_from_the_start_of_the_program(tmp_path):
    problem, answer = _long_day(tmp_path), tmp_path / "answer.json"

    before = time.monotonic()
    with _start(problem, answer, 3) as process:
        process.communicate(timeout=60)
    took = time.monotonic() - before

    assert process.returncode in (0, 4)  # on a busy machine nothing may have been found yet
    assert took < 12  # 4.3 is promised, on a machine that is not shared
    assert json.loads(answer.read_text())["seconds"] < 4.3
