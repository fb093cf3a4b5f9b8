"""Deletes what was kept long enough, and says what; run it daily from a timer."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from scheduling.services.erasure import purge


class Command(BaseCommand):
    """Delete by the retention of the data map; nothing that it does not name."""

    help = "Deletes records about people that were kept as long as the data map says."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="only say what would go")

    def handle(self, *_args: Any, **options: Any) -> None:
        at = timezone.now()
        report = purge(at=at, on=timezone.localdate(at), dry_run=options["dry_run"])
        counts: dict[str, int] = {}
        for name, count in report.removed:
            counts[name] = counts.get(name, 0) + count
        word = "would be deleted" if options["dry_run"] else "deleted"
        for name, count in counts.items():
            self.stdout.write(f"{name}: {count} {word}")
        self.stdout.write(f"{report.total} rows {word}.")
