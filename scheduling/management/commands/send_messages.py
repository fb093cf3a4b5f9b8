"""Sends the mail that waits in the outbox; run it from a timer, or by hand."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from scheduling.services.outbox import send_waiting


class Command(BaseCommand):
    """Send waiting messages once and say how many went out."""

    help = "Sends the messages waiting in the outbox. What fails is kept and tried next time."

    def handle(self, *_args: Any, **_options: Any) -> None:
        report = send_waiting(at=timezone.now())
        self.stdout.write(f"Sent {report.sent} messages.")
        for line in report.failed:
            self.stderr.write(f"Not sent, kept for next time: {line}")
