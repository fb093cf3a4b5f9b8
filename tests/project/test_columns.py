"""The demo season fits its columns. SQLite keeps any length; PostgreSQL refuses a longer one."""

import pytest
from django.apps import apps
from django.db.models import CharField

pytestmark = pytest.mark.usefixtures("demo_season")

ROOMS = ("orchard", "scheduling")


def test_every_text_of_the_demo_season_fits_its_column() -> None:
    longer = [
        f"{model.__name__}.{field.name}: {value!r} is longer than {field.max_length}"
        for model in apps.get_models()
        if model._meta.app_label in ROOMS
        for field in model._meta.concrete_fields
        if isinstance(field, CharField) and field.max_length
        for value in model.objects.values_list(field.name, flat=True)
        if value and len(value) > field.max_length
    ]

    assert longer == []
