"""A question written once answers as Django's own does, whatever it is asked with."""

from datetime import UTC, datetime

import pytest
from django.db import connection
from django.db.models import Count, Q
from django.test.utils import CaptureQueriesContext

from orchard.models import Role, Site, Tree, User
from orchard.queries.written import WrittenQuery

pytestmark = pytest.mark.usefixtures("demo_season")


def trees_of(site_id, tags):
    rows = Tree.objects.filter(site_id=site_id, pk__in=tags).order_by("tag")
    return rows.values_list("tag", "inspected_on", "stem_diameters_mm", "area__code", "east_m")


def test_it_reads_dates_numbers_lists_and_joined_words_as_django_does() -> None:
    site = Site.objects.get()
    written = WrittenQuery(trees_of)
    numbers = tuple(Tree.objects.order_by("pk").values_list("pk", flat=True))
    assert len(numbers) > 20

    for some in (numbers[:1], numbers[:3], numbers[3:8], numbers, numbers[:3]):
        assert written.ask(site.pk, some) == list(trees_of(site.pk, some))
    assert written.ask(site.pk + 1, numbers) == []


def test_nothing_to_choose_from_asks_nothing() -> None:
    with CaptureQueriesContext(connection) as asked:
        assert WrittenQuery(trees_of).ask(1, ()) == []
    assert len(asked) == 0


def test_words_moments_and_counts_are_kept_apart_from_what_stands_in_the_question() -> None:
    site = Site.objects.get()
    user = User.objects.create(email="leaf@example.org")
    at = datetime(2027, 1, 2, 3, 4, 5, 678901, tzinfo=UTC)
    for kind in ("volunteer", "guardian"):
        Role.objects.create(user=user, site=site, kind=kind, granted_at=at)

    def held(slug, user_id):
        rows = Role.objects.filter(
            ~Q(kind="reader"), site__slug=slug, user_id=user_id, ended_at__isnull=True
        )
        return rows.order_by("kind").values_list("kind", "granted_at")

    written = WrittenQuery(held)
    assert written.ask(site.slug, user.pk) == [("guardian", at), ("volunteer", at)]
    assert written.ask("another", user.pk) == []

    def count(user_id):
        rows = Role.objects.filter(user_id=user_id).order_by().values("site_id")
        return rows.annotate(roles=Count("pk")).values_list("roles")

    assert WrittenQuery(count).ask(user.pk) == [(2,)]


def test_many_lengths_are_few_questions() -> None:
    written = WrittenQuery(trees_of)
    for length in range(1, 65):
        written.ask(1, tuple(range(1, length + 1)))

    assert len(written._written) == 7  # 1, 2, 4, 8, 16, 32, 64


def test_a_value_that_is_not_handed_on_to_a_filter_is_refused() -> None:
    def kept_by_hand(site_id):
        return Site.objects.filter(pk=site_id % 7).values_list("pk")

    with pytest.raises(ValueError, match="does not stand in the question"):
        WrittenQuery(kept_by_hand).ask(1)
