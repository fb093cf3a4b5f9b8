"""Who may do what on a site: granting and ending roles. Both may be repeated."""

from datetime import datetime

from django.db import transaction

from orchard.domain.errors import PlannerError
from orchard.models import Role, Site, User
from orchard.services.accounts import ensure_account


class UnknownRole(PlannerError):
    """A kind of role that does not exist."""

    code = "roles.unknown"


class AccountClosed(PlannerError):
    """A role for an account that cannot sign in."""

    code = "roles.account_closed"


class RoleNotHeld(PlannerError):
    """A role of this site that is not there, or was ended before."""

    code = "roles.not_held"


class LastCoordinator(PlannerError):
    """The only coordinator who can sign in, about to be taken from the site."""

    code = "roles.last_coordinator"


def grant_role(*, user_id: int, site_id: int, kind: str, at: datetime, by: str = "") -> bool:
    """Give an account a role on a site; say whether it did not hold it before.

    Args:
        user_id: The account.
        site_id: The site.
        kind: A value of `Role.Kind`, such as "session lead".
        at: The moment from which it holds, aware.
        by: The address of who gives it; empty for a file or a command.

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
        defaults={"granted_at": at, "granted_by": by[:120]},
    )
    return created


@transaction.atomic
def grant_by_address(*, email: str, site_id: int, kind: str, at: datetime, by: str) -> bool:
    """Give a role to the account with an address, made now if there is none; say whether new.

    Args:
        email: The address, in any letter case.
        site_id: The site.
        kind: A value of `Role.Kind`.
        at: The moment from which it holds, aware.
        by: The address of who gives it.

    Raises:
        UnknownRole: If there is no such kind.
        AccountClosed: If the account may not sign in.
    """
    user_id = ensure_account(email=email)
    if not User.objects.get(pk=user_id).is_active:
        raise AccountClosed(
            f"The account of {email.strip()} is closed and cannot sign in. "
            "Open it again in the records, or use another address."
        )
    return grant_role(user_id=user_id, site_id=site_id, kind=kind, at=at, by=by)


def end_role(*, user_id: int, site_id: int, kind: str, at: datetime) -> bool:
    """End a role an account holds on a site; say whether it held it."""
    held = Role.objects.filter(user_id=user_id, site_id=site_id, kind=kind, ended_at__isnull=True)
    return held.update(ended_at=at) > 0


@transaction.atomic
def end_role_by_id(*, role_id: int, site_id: int, at: datetime, by: str) -> str:
    """End one role of a site at once; return the address that held it.

    The site is locked meanwhile, so that two coordinators who end each other's
    role at the same moment do not leave it without any.

    Args:
        role_id: The role.
        site_id: The site it must be of.
        at: The moment from which it holds no more, aware.
        by: The address of who ends it.

    Raises:
        RoleNotHeld: If the site has no such role that still holds.
        LastCoordinator: If nobody else who can sign in would coordinate the site.
    """
    Site.objects.select_for_update().get(pk=site_id)
    role = (
        Role.objects.filter(pk=role_id, site_id=site_id, ended_at__isnull=True)
        .select_related("user")
        .first()
    )
    if role is None:
        raise RoleNotHeld("This role was ended before. What is held now is listed below.")
    others = Role.objects.filter(
        site_id=site_id, kind=Role.Kind.COORDINATOR, ended_at__isnull=True, user__is_active=True
    ).exclude(pk=role_id)
    if role.kind == Role.Kind.COORDINATOR and not others.exists():
        raise LastCoordinator(
            f"{role.user.email} is the only coordinator, and a site needs one. "
            "Make somebody else coordinator first."
        )
    role.ended_at, role.ended_by = at, by[:120]
    role.save(update_fields=["ended_at", "ended_by"])
    return role.user.email
