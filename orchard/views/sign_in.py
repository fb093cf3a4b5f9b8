"""How accounts come in: by a mailed code, and only for people a coordinator knows.

Who coordinates a site or keeps the records adds a second factor, on a public server
without choice: `access.site_page` and the records ask `lacks_second_factor` first.
"""

from allauth.account.adapter import DefaultAccountAdapter
from allauth.mfa.adapter import DefaultMFAAdapter
from allauth.mfa.base.internal.flows import post_authentication
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.forms import ActivateTOTPForm
from allauth.mfa.totp.views import ActivateTOTPView
from allauth.mfa.utils import is_mfa_enabled
from allauth.mfa.webauthn.forms import AddWebAuthnForm
from allauth.mfa.webauthn.views import AddWebAuthnView
from django.conf import settings
from django.contrib import messages
from django.contrib.auth.base_user import AbstractBaseUser
from django.contrib.auth.models import AnonymousUser
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect


class SignInAdapter(DefaultAccountAdapter):
    """Sign-in rules of this project, where they differ from the library's."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002 (library's signature)
        """Refuse self-made accounts: a coordinator adds people, so that age is known."""
        return False

    def get_reauthentication_methods(
        self, user: AbstractBaseUser | AnonymousUser
    ) -> list[dict[str, str]]:
        """Return the ways to prove oneself again, the first being the usual one, in our words."""
        words = {
            "mfa_reauthenticate": "Use a code of the app or a spare code",
            "mfa_reauthenticate:webauthn": "Use a passkey",
        }
        ways = [
            {**way, "description": words[way["id"]]}
            for way in super().get_reauthentication_methods(user)
        ]
        has_app = is_mfa_enabled(user, [Authenticator.Type.TOTP])
        return ways if has_app else ways[::-1]  # spare codes are for the day a passkey is lost


class SecondFactorAdapter(DefaultMFAAdapter):
    """Second factors of this project, where they differ from the library's."""

    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": "This code is not right, or was used before. Wait for the next one.",
    }

    def generate_authenticator_name(self, user: AbstractBaseUser, type: Authenticator.Type) -> str:
        """Suggest a name for a new passkey, to be written over with what the device is called."""
        return f"Passkey {Authenticator.objects.filter(user_id=user.pk, type=type).count() + 1}"


def lacks_second_factor(request: HttpRequest) -> bool:
    """Return whether the account must set a second factor up before it may coordinate."""
    kinds = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]
    return settings.SECOND_FACTOR_REQUIRED and not is_mfa_enabled(request.user, kinds)


def lead_to_second_factor(request: HttpRequest) -> HttpResponse:
    """Lead to the page of second factors, saying why."""
    messages.info(
        request,
        "Who coordinates a site or keeps the records signs in with a second factor here. Set one "
        "up; then go on.",
    )
    return redirect("mfa_index")


class SetUpAppView(ActivateTOTPView):
    """Setting an authenticator app up, where it differs from the library's page."""

    def form_valid(self, form: ActivateTOTPForm) -> HttpResponse:
        """Use the code up, and take it as the proof that the spare codes ask for."""
        answer: HttpResponse = super().form_valid(form)
        app = Authenticator.objects.get(user=self.request.user, type=Authenticator.Type.TOTP)
        if app.wrap().validate_code(form.cleaned_data["code"]):
            post_authentication(self.request, app, reauthenticated=True)
        return answer


class AddPasskeyView(AddWebAuthnView):
    """Adding a passkey, where it differs from the library's page."""

    def form_valid(self, form: AddWebAuthnForm) -> HttpResponse:
        """Take the passkey just made as the proof that the spare codes ask for."""
        answer: HttpResponse = super().form_valid(form)
        mine = Authenticator.objects.filter(
            user=self.request.user, type=Authenticator.Type.WEBAUTHN
        )
        post_authentication(self.request, mine.latest("pk"), reauthenticated=True)
        return answer


set_up_app = SetUpAppView.as_view()
add_passkey = AddPasskeyView.as_view()
