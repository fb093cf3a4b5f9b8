"""Which units a person wants to see."""

from orchard.domain.units import System
from orchard.models import User


def choose_units(*, user_id: int, system: System | None) -> None:
    """Show an account these units on every site, or each site's own for None."""
    User.objects.filter(pk=user_id).update(units=system.value if system else "")
