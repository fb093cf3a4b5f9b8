"""People, sessions, rules and rosters, as pure calculation.

Nothing here knows Django, the clock, a file or a random source that was not
handed in. Rules emit conditions; the planner enforces them; `verify` judges
rosters without a solver.
"""
