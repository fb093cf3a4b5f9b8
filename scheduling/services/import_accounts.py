"""Accounts and roles of an import: who the files say signs in, and as what.

Part of `import_season`. A role that was ended stays ended: only a coordinator
gives it back, by hand.
"""

from datetime import datetime

from orchard.queries.accounts import find_account_id, load_roles_ever_held
from orchard.services.accounts import ensure_account
from orchard.services.import_rows import NounCount
from orchard.services.roles import grant_role
from scheduling.services.season_files import SeasonFiles

VOLUNTEER = "volunteer"
GUARDIAN = "guardian"


def write_accounts(
    files: SeasonFiles, *, site_id: int, at: datetime
) -> tuple[dict[str, int], NounCount, NounCount]:
    """Return the account ids by address, and the counts of accounts and of roles."""
    wanted = _list_roles(files)
    users: dict[str, int] = {}
    new_accounts = 0
    for email in sorted(wanted):
        known = find_account_id(email)
        new_accounts += known is None
        users[email] = ensure_account(email=email) if known is None else known
    held = load_roles_ever_held(site_id)
    roles = [(users[email], kind) for email in sorted(wanted) for kind in sorted(wanted[email])]
    missing = [role for role in roles if role not in held]
    for user_id, kind in missing:
        grant_role(user_id=user_id, site_id=site_id, kind=kind, at=at)
    return (
        users,
        NounCount("accounts", new_accounts, 0, len(users) - new_accounts),
        NounCount("roles", len(missing), 0, len(roles) - len(missing)),
    )


def _list_roles(files: SeasonFiles) -> dict[str, set[str]]:
    guardians = {person.guardian for person in files.people if person.guardian}
    wanted = {account.email: set(account.roles) for account in files.accounts}
    for person in files.people:
        if person.email:
            roles = wanted.setdefault(person.email, set())
            roles.add(VOLUNTEER)
            if person.code in guardians:
                roles.add(GUARDIAN)
    return wanted
