"""What sentences call a task where a plan does the same work more than once.

A plan that measures trees before and after has two tasks of one title. Not for the
title itself: that is the treatment's, and papers and calendars keep it.
"""

ORDINALS = (
    "first", "second", "third", "fourth", "fifth", "sixth",
    "seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth",
)  # fmt: skip


def name_task(title: str, time: int) -> str:
    """Return a task's title with which time it is: "Measure T01 to T09, second time".

    Args:
        title: The task's own.
        time: Which time the plan does this, counted from 1; 0 where it does it once.
    """
    if not time:
        return title
    return (
        f"{title}, {ORDINALS[time - 1]} time" if time <= len(ORDINALS) else f"{title}, time {time}"
    )
