"""Several forms on one page, each saved by itself: which was sent, was it kept, what to show."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import Http404, HttpRequest

from orchard.domain.errors import PlannerError

Forms = dict[str, forms.Form]


@dataclass(frozen=True, slots=True)
class Desk:
    """The page's forms by name, as filled in, and whether the one that was sent is kept."""

    forms: Forms
    is_kept: bool

    @property
    def failed(self) -> forms.Form | None:
        """The form that was sent and could not be kept, for the summary of errors."""
        return next((form for form in self.forms.values() if form.is_bound and form.errors), None)


def take_form(
    request: HttpRequest,
    build: Callable[[dict[str, Any]], Forms],
    save: Callable[[str, Any], None],
) -> Desk:
    """Build a page's forms and save the one that was sent, named by its field “what”.

    Args:
        request: A look at the page, or a form sent.
        build: Makes the forms; handed what was sent, by the form's name.
        save: Keeps a valid form; a refusal becomes that form's error.

    Raises:
        Http404: If the form sent is none of the page's.
    """
    filled = build({})
    if request.method != "POST":
        return Desk(filled, is_kept=False)
    what = request.POST.get("what", "")
    if what not in filled:
        raise Http404
    filled = build({what: request.POST})
    if not filled[what].is_valid():
        return Desk(filled, is_kept=False)
    try:
        save(what, filled[what])
    except PlannerError as refused:
        filled[what].add_error(None, refused.message)
        return Desk(filled, is_kept=False)
    return Desk(filled, is_kept=True)
