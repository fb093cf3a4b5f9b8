"""Accounts and the roles they hold or have held."""

from dataclasses import dataclass
from datetime import datetime

from orchard.models import Role, User


def find_account_id(email: str) -> int | None:
    """Return the id of the account with this address in any letter case, or None."""
    return User.objects.filter(email__iexact=email.strip()).values_list("pk", flat=True).first()


def find_account_address(user_id: int) -> str | None:
    """Return the address of an account, or None if there is no such account."""
    return User.objects.filter(pk=user_id).values_list("email", flat=True).first()


def load_roles_ever_held(site_id: int) -> frozenset[tuple[int, str]]:
    """Return (account, kind of role) for every role on a site, ended ones included."""
    return frozenset(Role.objects.filter(site_id=site_id).values_list("user_id", "kind"))


def load_coordinator_addresses(site_id: int) -> tuple[str, ...]:
    """Return the addresses of a site's coordinators, in the alphabet's order."""
    rows = Role.objects.filter(
        site_id=site_id,
        kind=Role.Kind.COORDINATOR,
        ended_at__isnull=True,
        user__is_active=True,
    )
    return tuple(sorted(set(rows.values_list("user__email", flat=True)) - {""}))


def load_role_examples(site_id: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return, for each kind of role on a site, one account that holds it, with all it holds.

    Of those who hold a kind, the one with the fewest others stands for it; of
    several, the one whose address is shortest, then first in the alphabet.
    """
    held: dict[str, list[str]] = {}
    rows = Role.objects.filter(site_id=site_id, ended_at__isnull=True).select_related("user")
    for role in rows.order_by("user__email", "kind"):
        held.setdefault(role.user.email, []).append(role.kind)
    chosen = {
        min(holders, key=lambda email: (len(held[email]), len(email), email))
        for kind in Role.Kind.values
        if (holders := [email for email, kinds in held.items() if kind in kinds])
    }
    order = list(Role.Kind.values)
    return tuple(
        (email, tuple(sorted(held[email], key=order.index)))
        for email in sorted(chosen, key=lambda e: min(order.index(kind) for kind in held[e]))
    )


@dataclass(frozen=True, slots=True)
class RoleRow:
    """A role as the page of roles lists it; `ended_at` is None while it holds."""

    id: int
    address: str
    kind: str
    granted_at: datetime
    granted_by: str
    ended_at: datetime | None
    ended_by: str
    is_open: bool  # whether the account may sign in


def load_roles(site_id: int) -> tuple[tuple[RoleRow, ...], tuple[RoleRow, ...]]:
    """Return the roles held on a site, by address, and the ended ones, the newest first."""
    rows = tuple(
        RoleRow(
            id=role.pk,
            address=role.user.email,
            kind=role.kind,
            granted_at=role.granted_at,
            granted_by=role.granted_by,
            ended_at=role.ended_at,
            ended_by=role.ended_by,
            is_open=role.user.is_active,
        )
        for role in Role.objects.filter(site_id=site_id)
        .select_related("user")
        .order_by("user__email", "kind", "pk")
    )
    held = tuple(row for row in rows if row.ended_at is None)
    ended = sorted(
        (row for row in rows if row.ended_at is not None),
        key=lambda row: (row.ended_at or row.granted_at, row.id),
        reverse=True,
    )
    return held, tuple(ended)
