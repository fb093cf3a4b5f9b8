"""Accounts and the roles they hold or have held."""

from orchard.models import Role, User


def find_account_id(email: str) -> int | None:
    """Return the id of the account with this address in any letter case, or None."""
    return User.objects.filter(email__iexact=email.strip()).values_list("pk", flat=True).first()


def load_roles_ever_held(site_id: int) -> frozenset[tuple[int, str]]:
    """Return (account, kind of role) for every role on a site, ended ones included."""
    return frozenset(Role.objects.filter(site_id=site_id).values_list("user_id", "kind"))


def load_role_examples(site_id: int) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return, for each kind of role on a site, one account that holds it, with all it holds.

    The account held longest stands for its kind; one that stands for two comes once.
    """
    held: dict[str, list[str]] = {}
    first: dict[str, str] = {}
    rows = Role.objects.filter(site_id=site_id, ended_at__isnull=True).select_related("user")
    for role in rows.order_by("user_id", "kind"):
        held.setdefault(role.user.email, []).append(role.kind)
        first.setdefault(role.kind, role.user.email)
    chosen = dict.fromkeys(first[kind] for kind in Role.Kind.values if kind in first)
    return tuple((email, tuple(held[email])) for email in chosen)
