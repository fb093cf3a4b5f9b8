"""The rule book: every rule with its sentence, its source, and how far the source carries."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.domain.rules import RULES
from scheduling.views.access import site_page


@site_page("scheduling.read_rule_book")
@require_safe
def show_rule_book(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show every rule to anybody of the site."""
    return render(request, "scheduling/rule_book/rule_book.html", {"rules": RULES})
