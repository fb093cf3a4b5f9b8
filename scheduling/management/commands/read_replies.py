"""Reads what calendars answered, from files or from a folder that a mail server fills."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from scheduling.services.replies import take_reply


class Command(BaseCommand):
    """Take each reply once and say what became of it; a file read before changes nothing."""

    help = (
        "Reads calendar replies (METHOD:REPLY), as calendar files or whole mails, from files or "
        "folders, such as the “new” folder of a mailbox in Maildir form. Run it from a timer."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("paths", nargs="+", type=Path, help="files, or folders of files")
        parser.add_argument(
            "--move-to", type=Path, metavar="FOLDER", help="where files go once they are read"
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        folder: Path | None = options["move_to"]
        for path in self._files(options["paths"]):
            try:
                receipt = take_reply(path.read_bytes(), at=timezone.now())
            except OSError as problem:
                raise CommandError(
                    f"{path} cannot be read: {problem.strerror}. Give this account the right to "
                    "read it; what was read before it is kept."
                ) from None
            again = "" if receipt.is_new else " (read before)"
            self.stdout.write(f"{path.name}: {receipt.outcome}{again}. {receipt.reason}".strip())
            if folder is not None:
                folder.mkdir(parents=True, exist_ok=True)
                path.replace(folder / path.name)

    def _files(self, paths: list[Path]) -> list[Path]:
        found: list[Path] = []
        for path in paths:
            if path.is_dir():
                found += sorted(p for p in path.iterdir() if p.is_file() and p.name[0] != ".")
            elif path.is_file():
                found.append(path)
            else:
                raise CommandError(f"There is no file or folder {path}. Name one that is there.")
        return found
