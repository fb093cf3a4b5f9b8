"""The command that measures the planner runs through on tiny documents. No time is asserted."""

import json

from tests.benchmarks.bench_planner import run
from tests.benchmarks.planner_tables import DAY_HEAD, SEASON_HEAD
from tests.benchmarks.tiny import build_tiny_day, build_tiny_season


def test_every_part_prints_its_table_and_no_answer_has_a_finding(tmp_path, capsys):
    for seed in (1003, 1005):
        (tmp_path / f"day-S-{seed}.json").write_text(json.dumps(build_tiny_day(seed)))
    (tmp_path / "season-S-1.json").write_text(json.dumps(build_tiny_season(1001)))
    run(["--documents", str(tmp_path), "--sizes", "S", "--seconds", "2"])
    shown = capsys.readouterr().out
    for word in ("÷ engine", "÷ scratch", "each needed", "to best bound", "draws", "behind"):
        assert word in shown, word
    rows = [line.split() for line in shown.splitlines() if "tiny-" in line]
    for who in ("engine", "plain", "highs", "hand"):
        judged = [row for row in rows if row[1:2] == [who]]
        assert len(judged) >= 3
        assert {row[-1] for row in judged} == {"0"}
    assert DAY_HEAD[-1] == SEASON_HEAD[-1] == "findings"
