"""Who may do what on a site: granting and ending roles. Both may be repeated."""

from datetime import datetime

from orchard.domain.errors import PlannerError
from orchard.models import Role


class UnknownRole(PlannerError):
    """A kind of role that does not exist."""

    code = "roles.unknown"


def grant_role(*, user_id: int, site_id: int, kind: str, at: datetime) -> bool:
    """Give an account a role on a site; say whether it did not hold it before.

    Args:
        user_id: The account.
        site_id: The site.
        kind: A value of `Role.Kind`, such as "session lead".
        at: The moment from which it holds, aware.

    Raises:
        UnknownRole: If there is no such kind.
    """
    if kind not in Role.Kind.values:
        raise UnknownRole(
            f"There is no role “{kind}”. The roles are: {', '.join(sorted(Role.Kind.values))}."
        )
    _, created = Role.objects.get_or_create(
        user_id=user_id,
        site_id=site_id,
        kind=kind,
        ended_at=None,
        defaults={"granted_at": at},
    )
    return created


def end_role(*, user_id: int, site_id: int, kind: str, at: datetime) -> bool:
    """End a role an account holds on a site; say whether it held it."""
    held = Role.objects.filter(user_id=user_id, site_id=site_id, kind=kind, ended_at__isnull=True)
    return held.update(ended_at=at) > 0
