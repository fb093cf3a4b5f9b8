"""Whole problems and answers as JSON documents, so that the planner runs without a database.

Four formats, each described in full where it is read:

    day-problem/1      `day_problem`      one session: people, tasks, rules, weights
    day-roster/1       `day_roster`       the answer to it
    season-problem/1   `season_problem`   which work in which session
    season-plan/1      `season_plan`      the answer to it

Common to all: JSON in UTF-8 without a byte order mark; `format` says which; keys are exact, an
unknown, missing or repeated key is an error that names the key and the line; times are minutes,
dates ISO (2027-04-17); numbers are whole. Age bands are 0: under 12, 1: 12 to 15, 2: 16 to 17,
3: adult.

Front doors: `decode_document`, `find_format` (`parsing`); `read_day_problem`, `build_day`;
`read_season_problem`, `build_season`; readers and writers of answers; `judge_day` and
`judge_season`, which share nothing with the planner. Not here: files, the database, solving.
"""
