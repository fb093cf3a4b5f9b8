"""How accounts come in: by a mailed code, and only for people a coordinator knows."""

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class SignInAdapter(DefaultAccountAdapter):
    """Sign-in rules of this project, where they differ from the library's."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002 (library's signature)
        """Refuse self-made accounts: a coordinator adds people, so that age is known."""
        return False
