"""The rule book as adopted: every rule with its figures, their sets and sources, and dates."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from orchard.queries.roles import Standing
from scheduling.queries.rule_book import load_rule_book
from scheduling.views.access import site_page


@site_page("scheduling.read_rule_book")
@require_safe
def show_rule_book(request: HttpRequest, standing: Standing) -> HttpResponse:
    """Show every rule to anybody of the site; the page prints as it is."""
    page = load_rule_book(standing.site_id, on=timezone.localdate())
    tools = page.book.tools
    rows = [
        {"name": name, "cells": list(zip(tools.heads, cells, strict=True))}
        for name, cells in (tools.rows if tools else ())
    ]
    context = {"page": page, "tool_rows": rows}
    return render(request, "scheduling/rule_book/rule_book.html", context)
