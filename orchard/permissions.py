"""Who may see and change the place and its plan. Refusals become pages in `views.access`."""

import rules

from orchard.queries.roles import Standing


@rules.predicate
def is_coordinator(user: object, standing: Standing | None) -> bool:
    """Whether the account coordinates the site it asks about."""
    return standing is not None and _own(user, standing) and standing.is_coordinator


@rules.predicate
def leads_sessions(user: object, standing: Standing | None) -> bool:
    """Whether the account leads sessions on the site it asks about."""
    return standing is not None and _own(user, standing) and standing.is_session_lead


def _own(user: object, standing: Standing) -> bool:
    return getattr(user, "pk", None) == standing.user_id


rules.add_perm("orchard.see_plan", is_coordinator)
rules.add_perm("orchard.publish_tasks", is_coordinator)
rules.add_perm("orchard.see_task", is_coordinator | leads_sessions)
