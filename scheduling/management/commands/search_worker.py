"""Carries out searches beside the server: rosters and season plans that pages ask for."""

import logging
import os
import signal
import threading
from argparse import ArgumentParser
from types import FrameType
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand
from django.db import OperationalError, close_old_connections, connection
from django.utils import timezone
from django.utils.crypto import get_random_string
from django_tasks import DEFAULT_TASK_BACKEND_ALIAS, DEFAULT_TASK_QUEUE_NAME
from django_tasks_db.management.commands.db_worker import Worker

from scheduling.queries.runs import BEAT_SECONDS
from scheduling.services.runs import beat, end_worker, sweep_lost
from scheduling.services.searches import WORKER_ENDS

logger = logging.getLogger(__name__)

ASK_SECONDS = 0.5  # how often the queue is looked at


class SearchWorker(Worker):
    """The queue's worker, ending as soon as its search has handed over the best so far."""

    def shutdown(self, signum: int, frame: FrameType | None) -> None:
        """Stop the search under way, then end as the queue's worker does."""
        WORKER_ENDS.set()
        super().shutdown(signum, frame)


class Heart(threading.Thread):
    """Notes every few seconds that the process lives, and writes off searches of dead ones.

    A thread, because a step of a search may take longer than a worker may be
    silent. It has a database connection of its own.
    """

    def __init__(self, worker: str, beside: int | None) -> None:
        super().__init__(name="signs of life", daemon=True)
        self._worker = worker
        self._beside = beside
        self._end = threading.Event()

    def run(self) -> None:
        """Beat until told to end; end the process when the one it stands beside is gone."""
        while not self._end.wait(BEAT_SECONDS):
            close_old_connections()
            try:
                beat(worker=self._worker, at=timezone.now())
                sweep_lost(at=timezone.now())
            except OperationalError as problem:
                logger.warning(
                    "The database did not answer the worker: %s. It tries again.", problem
                )
            if self._beside is not None and os.getppid() != self._beside:
                self._beside = None
                os.kill(os.getpid(), signal.SIGTERM)
        connection.close()

    def end(self) -> None:
        """Stop beating and wait for the last one."""
        self._end.set()
        self.join(timeout=BEAT_SECONDS)


class Command(BaseCommand):
    """Wait for searches and carry them out, one after another."""

    help = (
        "Carries out the searches that pages ask for, one after another. Run one beside the "
        "server; Ctrl-C or SIGTERM stops the search under way and keeps its best so far."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Declare the options."""
        parser.add_argument(
            "--batch", action="store_true", help="carry out what waits, then end (for a timer)"
        )
        parser.add_argument(
            "--most-searches",
            type=int,
            metavar="N",
            help="end after N searches, so that whatever keeps services running starts it afresh",
        )
        parser.add_argument(
            "--beside",
            type=int,
            metavar="PID",
            help="end when this process, which started the worker, is gone",
        )

    def handle(
        self, *_args: Any, batch: bool, most_searches: int | None, beside: int | None, **_: Any
    ) -> None:
        """Give signs of life and work through the queue."""
        name = get_random_string(12)
        beat(worker=name, at=timezone.now())
        sweep_lost(at=timezone.now())
        call_command("prune_db_task_results", verbosity=0)  # what the queue remembers of old ones
        heart = Heart(name, beside)
        worker = SearchWorker(
            queue_names=[DEFAULT_TASK_QUEUE_NAME],
            interval=ASK_SECONDS,
            batch=batch,
            backend_name=DEFAULT_TASK_BACKEND_ALIAS,
            startup_delay=False,
            max_tasks=most_searches,
            worker_id=name,
            excluded_queue_names=[],
        )
        worker.configure_signals()
        heart.start()
        try:
            worker.run()
        finally:
            heart.end()
            end_worker(worker=name)
