"""Who may see and change the place and its plan. Refusals become pages in `views.access`."""

import rules

from orchard.queries.roles import Standing, load_standings


@rules.predicate
def belongs_here(user: object, standing: Standing | None) -> bool:
    """Whether the account has any role on the site it asks about."""
    return standing is not None and getattr(user, "pk", None) == standing.user_id


@rules.predicate
def is_coordinator(user: object, standing: Standing | None) -> bool:
    """Whether the account coordinates the site."""
    return standing is not None and standing.is_coordinator


@rules.predicate
def leads_sessions(user: object, standing: Standing | None) -> bool:
    """Whether the account leads sessions on the site."""
    return standing is not None and standing.is_session_lead


@rules.predicate
def keeps_a_site(user: object) -> bool:
    """Whether the account coordinates some site, or keeps the records of all."""
    if not getattr(user, "is_authenticated", False):
        return False
    if getattr(user, "is_superuser", False):
        return True
    return any(standing.is_coordinator for standing in load_standings(getattr(user, "pk", 0)))


rules.add_perm("orchard.start_site", keeps_a_site)
rules.add_perm("orchard.enter_site", belongs_here)
rules.add_perm("orchard.see_plan", belongs_here & is_coordinator)
rules.add_perm("orchard.change_plan", belongs_here & is_coordinator)
rules.add_perm("orchard.publish_tasks", belongs_here & is_coordinator)
rules.add_perm("orchard.see_task", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("orchard.see_ground", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("orchard.change_ground", belongs_here & is_coordinator)
rules.add_perm("orchard.record_growth", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("orchard.record_hole", belongs_here & (is_coordinator | leads_sessions))
rules.add_perm("orchard.see_stores", belongs_here & is_coordinator)
rules.add_perm("orchard.change_stores", belongs_here & is_coordinator)
rules.add_perm("orchard.keep_roles", belongs_here & is_coordinator)
