"""Sends the mail that waits in the outbox, once or until it is told to stop."""

import signal
from argparse import ArgumentParser
from threading import Event
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from scheduling.services.outbox import send_waiting
from scheduling.services.reminders import put_due_mail

LONGEST_S = 3600


class Command(BaseCommand):
    """Write the reminders that are due, send what waits, and say how many went out."""

    help = (
        "Writes the reminders and digests that are due and sends the messages waiting in the "
        "outbox. What fails is kept and tried again later."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--every",
            type=int,
            metavar="SECONDS",
            help="keep going until a signal ends it, looking this often",
        )

    def handle(self, *_args: Any, **options: Any) -> None:
        every: int | None = options["every"]
        if every is None:
            self._once(Event())
            return
        if not 1 <= every <= LONGEST_S:
            raise CommandError(f"--every is {every}; give 1 to {LONGEST_S} seconds.")
        stop = Event()
        # The mail in hand is finished and marked before the end.
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda *_: stop.set())
        while not stop.is_set():
            self._once(stop)
            stop.wait(every)

    def _once(self, stop: Event) -> None:
        due = put_due_mail(at=timezone.now())
        report = send_waiting(clock=timezone.now, should_stop=stop.is_set)
        if report.sent or not due:
            self.stdout.write(f"Sent {report.sent} messages.")
        for line in report.failed:
            self.stderr.write(f"Not sent, kept for next time: {line}")
