"""Reads which kinds of work a site has: those of its plans' lines and of its published tasks."""

from orchard.domain.task_graph import WORKING_ORDER
from orchard.domain.treatments import TREATMENTS
from orchard.models import PlanTreatment, Task


def load_work_kinds(site_id: int) -> tuple[str, ...]:
    """Return the kinds of work of a site in working order; every kind where it has none yet.

    A line of a plan counts before its tasks are published, a withdrawn task does not.
    """
    codes = PlanTreatment.objects.filter(plan__site_id=site_id).values_list("treatment", flat=True)
    planned = set(codes.order_by().distinct())
    published = Task.objects.filter(plan__site_id=site_id).exclude(state=Task.State.WITHDRAWN)
    kinds = {treatment.kind for treatment in TREATMENTS if treatment.code in planned}
    kinds |= set(published.order_by().values_list("kind", flat=True).distinct())
    return tuple(kind for kind in WORKING_ORDER if kind in kinds) or WORKING_ORDER
