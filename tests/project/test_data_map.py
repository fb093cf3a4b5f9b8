"""The data map against the models: nothing about people is kept that it does not name."""

import pytest
from django.apps import apps
from django.db.models import CharField, EmailField, ForeignKey, ManyToManyField

from scheduling.domain.data_map import DATA_MAP, NEVER_KEPT, NOT_ABOUT_PEOPLE, OnErasure

PEOPLE = {"orchard.User", "scheduling.Person"}


def models() -> dict[str, type]:
    return {
        model._meta.label: model
        for model in apps.get_models()
        if model._meta.app_label in ("orchard", "scheduling")
    }


def columns(model: type) -> dict[str, object]:
    fields = [*model._meta.concrete_fields, *model._meta.many_to_many]
    return {field.name: field for field in fields if field.name != "id"}


def mapped(label: str) -> set[str]:
    return {name for fact in DATA_MAP if fact.model == label for name in fact.fields}


def is_about_people(field: object) -> bool:
    """By its kind: it points at a person or an account, or is named after who did something."""
    if isinstance(field, ForeignKey | ManyToManyField):
        return field.related_model._meta.label in PEOPLE
    if isinstance(field, EmailField):
        return True
    return isinstance(field, CharField) and (
        field.name.endswith(("_by", "_name")) or field.name in ("first_name", "telephone")
    )


@pytest.mark.parametrize("label", sorted(models()))
def test_every_column_is_in_the_map_or_said_to_be_about_no_person(label: str) -> None:
    found = columns(models()[label])
    free = NOT_ABOUT_PEOPLE[label]
    known = mapped(label)

    if "*" in free:
        open_columns = {name for name, field in found.items() if is_about_people(field)}
    else:
        open_columns = set(found) - set(free)
    assert open_columns - known == set(), f"{label}: say in data_map.py what these are for"
    assert known <= set(found), f"{label}: data_map.py names columns that are gone"
    assert set(free) - {"*"} <= set(found)
    assert not known & set(free)


def test_the_map_names_only_models_that_are_there() -> None:
    assert set(NOT_ABOUT_PEOPLE) == set(models())
    assert {fact.model for fact in DATA_MAP} <= set(models())


@pytest.mark.parametrize("fact", DATA_MAP, ids=lambda fact: f"{fact.model}.{fact.fields[0]}")
def test_every_fact_has_a_purpose_and_a_retention(fact) -> None:
    assert len(fact.purpose) > 8
    assert len(fact.retention) > 5
    assert isinstance(fact.on_erasure, OnErasure)


def test_nothing_is_kept_that_must_never_be() -> None:
    """The house's reference, “never store”: no date of birth, no home address, no diagnosis …"""
    about = {fact.model for fact in DATA_MAP} - {"orchard.Site", "orchard.Locate"}
    tables = {
        "scheduling.Person", "scheduling.DayContact", "scheduling.FirstAidNote",
        "scheduling.CheckRecord", "scheduling.ConsentRecord", "scheduling.SkillRecord",
        "scheduling.SchoolGroup", "orchard.User",
    }  # fmt: skip
    assert tables <= about
    for label in sorted(tables):
        for name in columns(models()[label]):
            assert not [part for part in NEVER_KEPT if part in name], f"{label}.{name}"
