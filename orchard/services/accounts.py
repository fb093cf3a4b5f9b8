"""Accounts: an address that can sign in by a mailed code. Roles are `roles`."""

from orchard.models import Role, User

ERASED = "an erased account"


def ensure_account(*, email: str) -> int:
    """Return the id of the account with this address, made now if there was none.

    The same address in other letter cases is the same account. It has no
    password: its holder signs in with a code sent to the address.
    """
    known = User.objects.filter(email__iexact=email.strip()).values_list("pk", flat=True).first()
    return known if known is not None else User.objects.create_user(email.strip()).pk


def erase_account(user_id: int) -> None:
    """Delete an account with its roles; what it signed stays, signed by nobody named."""
    addresses = User.objects.filter(pk=user_id).values_list("email", flat=True)
    for address in addresses:
        Role.objects.filter(granted_by__iexact=address[:120]).update(granted_by=ERASED)
        Role.objects.filter(ended_by__iexact=address[:120]).update(ended_by=ERASED)
    User.objects.filter(pk=user_id).delete()
