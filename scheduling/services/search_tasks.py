"""The one task that workers find in the queue: carry out a search that was asked for."""

from django.utils import timezone
from django_tasks import TaskContext, task

from scheduling.services.searches import carry_out, claim_run


@task(takes_context=True)
def carry_out_search(context: TaskContext, run_id: int) -> None:
    """Carry a waiting search out; one that somebody else took, or gave up, is left alone."""
    workers = context.task_result.worker_ids
    worker = workers[-1] if workers else ""
    if claim_run(run_id=run_id, worker=worker, at=timezone.now()):
        carry_out(run_id=run_id, now=timezone.now)
