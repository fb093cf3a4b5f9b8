"""Tells by one question whether rows changed, so that what was made from them may be kept.

What a page makes from a site's rows costs far more than the rows: a process keeps it
beside their mark and makes it anew when the mark is another. Nobody has to remember to
throw anything away, and every process sees every change that is saved. Not for reading.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from hashlib import sha256

from django.db import connection
from django.db.models import Model

from orchard.models import Area, Corridor, Locate, Material, Plan, Site, Task, Tool, Tree

_OF_SITE = "site_id = %(site)s"
_OF_PLANS = "plan_id in (select id from orchard_plan where site_id = %(site)s)"
_OF_LOCATES = "locate_id in (select id from orchard_locate where site_id = %(site)s)"


@dataclass(frozen=True, slots=True)
class WatchedRows:
    """Which rows of a table count, and which of their columns."""

    table: str
    columns: tuple[str, ...]
    where: str


def watch_rows(model: type[Model], where: str, *, without: Iterable[str] = ()) -> WatchedRows:
    """Return the rows to watch.

    Args:
        model: Whose table.
        where: A condition in SQL; what it is asked for stands in it by name, as `%(site)s`.
        without: Columns that another one answers for, such as a digest for a long content.
    """
    left_out = set(without)
    columns = (field.column for field in model._meta.concrete_fields)
    named = tuple(column for column in columns if column is not None and column not in left_out)
    return WatchedRows(model._meta.db_table, named, where)


SITE_ROWS = (
    watch_rows(Site, "id = %(site)s"),
    watch_rows(Tool, _OF_SITE),
    watch_rows(Material, _OF_SITE),
    watch_rows(Area, _OF_SITE),
    watch_rows(Tree, _OF_SITE),
    watch_rows(Corridor, _OF_SITE),
    watch_rows(Locate, _OF_SITE),
    watch_rows(Locate.areas.through, _OF_LOCATES),
    watch_rows(Plan, _OF_SITE),
    # What is withdrawn or done is read by nobody; a content's digest answers for it.
    watch_rows(Task, f"state = 'open' and {_OF_PLANS}", without=("content",)),
)
"""What a session's work, tools, ground and locates are read from."""


def mark_rows(watched: tuple[WatchedRows, ...], **keys: int) -> str:
    """Return a mark of rows as they stand now: the same as long as none of them changes.

    Args:
        watched: Which rows.
        **keys: What the conditions ask for, by name.
    """
    with connection.cursor() as cursor:
        cursor.execute(_write_question(watched, connection.vendor), keys)
        rows = sorted(cursor.fetchall())
    return sha256(repr(rows).encode()).hexdigest()


@cache
def _write_question(watched: tuple[WatchedRows, ...], vendor: str) -> str:
    """Return one question for all the rows, each as a list in JSON behind its table's name."""
    as_list = {"postgresql": "json_build_array", "sqlite": "json_array"}[vendor]
    name = connection.ops.quote_name
    return " union all ".join(
        f"select '{each.table}', cast({as_list}({', '.join(map(name, each.columns))}) as text) "  # noqa: S608 (names of this project's own models)
        f"from {name(each.table)} where {each.where}"
        for each in watched
    )
