"""Time to word and print a large day pack, once and at ten times the size.

Run by hand: `python -m tests.benchmarks.bench_day_pack`. Prints; asserts nothing,
since times differ between machines.
"""

import time

from scheduling.sheets.content import build_day_pack
from scheduling.sheets.render import render_day_pack
from tests.scheduling.sheets import large_day


def measure(people: int, tasks: int, holes: int) -> str:
    """Return one line with the sizes and the seconds taken."""
    roster = large_day.build_large(people, tasks, holes)
    start = time.perf_counter()
    pack = build_day_pack(roster, record_address="https://orchard.example/depot/record/")
    worded = time.perf_counter()
    data = render_day_pack(pack)
    done = time.perf_counter()
    return (
        f"{people} people, {tasks} tasks, {holes} holes: worded in {worded - start:.2f} s, "
        f"printed in {done - worded:.2f} s, {len(data) // 1024} KiB"
    )


if __name__ == "__main__":
    for sizes in ((40, 20, 300), (40, 20, 300), (400, 200, 3000)):
        print(measure(*sizes))
