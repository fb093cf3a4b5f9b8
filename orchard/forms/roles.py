"""The form in which a coordinator gives somebody a role on the site."""

from django import forms

from orchard.models import Role

MEANINGS = {
    Role.Kind.COORDINATOR: "coordinator: everything on this site",
    Role.Kind.SESSION_LEAD: "session lead: rosters, the day, its record",
    Role.Kind.VOLUNTEER: "volunteer: signs up",
    Role.Kind.GUARDIAN: "guardian: signs young people up",
    Role.Kind.LIAISON: "school liaison: brings classes",
    Role.Kind.READER: "reader: totals of a season, nobody’s name",
}


class RoleForm(forms.Form):
    """An address and the role it is given."""

    email = forms.EmailField(
        label="Address to sign in with",
        max_length=254,
        help_text="An account is made if there is none yet.",
    )
    kind = forms.ChoiceField(
        label="Role", choices=[("", "choose one"), *((k.value, w) for k, w in MEANINGS.items())]
    )
