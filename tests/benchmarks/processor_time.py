"""What the processors spent on a race, from /proc where there is one: whose time it was."""

import os
import time
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Spent:
    """Seconds of the processor: the web workers', the database server's, the presses' own."""

    workers: float
    database: float
    presses: float

    def since(self, before: "Spent") -> "Spent":
        """Return what was spent since."""
        return Spent(
            self.workers - before.workers,
            self.database - before.database,
            self.presses - before.presses,
        )


@dataclass(frozen=True, slots=True)
class Site:
    """The site as it is served: where, and by which processes."""

    port: int
    server: int
    database: int = 0  # the database server, where there is one

    def measure(self) -> Spent:
        """Return what everybody spent so far."""
        return Spent(
            seconds_of_children(self.server),
            seconds_of_children(self.database),
            time.process_time(),
        )


def read_stat(pid: int) -> list[str]:
    """Return the fields of a process from /proc behind its name; none where it is gone."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return []


def seconds_of_children(parent: int) -> float:
    """Return the processor seconds of a process's children, those that ended as well."""
    ended = read_stat(parent)
    if not ended:
        return 0.0
    ticks = sum(int(field) for field in ended[13:15])  # cutime and cstime
    for folder in Path("/proc").glob("[0-9]*"):
        fields = read_stat(int(folder.name))
        if fields and int(fields[1]) == parent:
            ticks += int(fields[11]) + int(fields[12])
    return ticks / os.sysconf("SC_CLK_TCK")


def find_database_server() -> int:
    """Return the process that the database's own processes are children of; 0 for a file."""
    from django.db import connection

    if connection.vendor != "postgresql":
        return 0
    with connection.cursor() as cursor:
        cursor.execute("select pg_backend_pid()")
        fields = read_stat(cursor.fetchone()[0])
    return int(fields[1]) if fields else 0
