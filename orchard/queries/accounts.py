"""Accounts and the roles they hold or have held."""

from orchard.models import Role, User


def find_account_id(email: str) -> int | None:
    """Return the id of the account with this address in any letter case, or None."""
    return User.objects.filter(email__iexact=email.strip()).values_list("pk", flat=True).first()


def load_roles_ever_held(site_id: int) -> frozenset[tuple[int, str]]:
    """Return (account, kind of role) for every role on a site, ended ones included."""
    return frozenset(Role.objects.filter(site_id=site_id).values_list("user_id", "kind"))
