"""The place and the work it needs, as pure calculation.

Nothing here knows Django, the clock, a file or a random source that was not
handed in. Front door: `breakdown.break_down_plan`.
"""
