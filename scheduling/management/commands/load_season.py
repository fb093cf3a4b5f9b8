"""`manage.py load_season`: the site and the season of a folder, brought into the database."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from orchard.services.import_files import ImportRefused
from orchard.services.import_rows import ImportReport, NounCount
from scheduling.services.import_season import import_folder


class Command(BaseCommand):
    """Load a season; loading it again changes nothing."""

    help = "Load a site and its season from a folder of TOML and CSV files. Safe to run again."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the folder; the demo season if none is named."""
        parser.add_argument(
            "--folder",
            type=Path,
            default=Path(settings.BASE_DIR) / "fixtures",
            help="the folder with the files (default: the demo season)",
        )

    def handle(self, *_args: Any, folder: Path, **_options: Any) -> None:
        """Import, and say what that did."""
        if not folder.is_dir():
            raise CommandError(f"There is no folder “{folder}”. Name one with --folder.")
        try:
            report = import_folder(folder, at=timezone.now())
        except ImportRefused as refused:
            raise CommandError(refused.message) from refused
        for line in describe(report):
            self.stdout.write(line)


def describe(report: ImportReport) -> list[str]:
    """Return the account of an import, a line for each noun and one for the whole."""
    lines = [f"  {count.noun:<18} {_in_words(count)}" for count in report.counts]
    if report.created + report.changed + report.removed == 0:
        return [*lines, "Nothing had changed since the last time."]
    return [
        *lines,
        f"Loaded: {report.created} new, {report.changed} changed, {report.removed} removed, "
        f"{report.unchanged} as they were.",
    ]


def _in_words(count: NounCount) -> str:
    total = count.created + count.changed + count.unchanged
    parts = [
        f"{number} {word}"
        for number, word in (
            (count.created, "new"),
            (count.changed, "changed"),
            (count.removed, "removed"),
        )
        if number
    ]
    return f"{total:>4}  {', '.join(parts) or 'as they were'}"
