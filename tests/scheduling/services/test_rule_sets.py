"""Rule sets adopted, ended and revised: what was stays readable, the strictest holds."""

from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction

from orchard.models import Site, User
from scheduling.domain.errors import RuleSetRefused, RuleSetUnknown
from scheduling.domain.figures import FigureRefused
from scheduling.domain.rule_set_codec import decode_rule_set
from scheduling.domain.rule_sets import DEFAULT_ADOPTION, RULE_SETS
from scheduling.models import Adoption, RuleSetVersion, SchoolGroup, Session
from scheduling.queries.problems import load_roster_problem
from scheduling.queries.rule_sets import (
    KeptRuleSet,
    find_version,
    load_adopted,
    load_policy,
    load_versions,
)
from scheduling.services.rule_sets import (
    adopt_default_rule_sets,
    adopt_rule_set,
    end_adoption,
    revise_rule_set,
    ship_rule_sets,
)
from tests.signed_in import COORDINATOR, NOW

TODAY = NOW.date()
TOMORROW = TODAY + timedelta(days=1)
LEAST = "supervision.least_adults"

pytestmark = pytest.mark.usefixtures("season_of_the_file", "db")


@pytest.fixture
def site(db: None) -> Site:
    return Site.objects.get(slug="traverser-yard")


@pytest.fixture
def by(db: None) -> int:
    return User.objects.get(email=COORDINATOR).pk


def shipped(code: str) -> RuleSetVersion:
    return RuleSetVersion.objects.get(site__isnull=True, code=code, version=1)


def revise(site: Site, by: int, kept_id: int, changes: dict[str, str], because="checked again"):
    return revise_rule_set(
        site_id=site.pk, version_id=kept_id, changes=changes, because=because, by=by, at=NOW,
        on=TODAY,
    )  # fmt: skip


def test_every_shipped_set_is_kept_once_and_whole(site: Site) -> None:
    assert ship_rule_sets(at=NOW) == 0

    kept = RuleSetVersion.objects.filter(site__isnull=True)
    assert [decode_rule_set(row.content) for row in kept] == sorted(
        RULE_SETS, key=lambda rules: (rules.code, rules.version)
    )


def test_a_new_site_holds_to_the_default_sets_and_a_second_load_changes_nothing(
    site: Site,
) -> None:
    adopted = load_adopted(site.pk, on=TODAY)

    assert tuple(each.kept.code for each in adopted) == DEFAULT_ADOPTION
    assert {each.adopted_name for each in adopted} == {"as shipped"}
    assert adopt_default_rule_sets(site_id=site.pk, at=NOW, on=TODAY) == 0
    assert load_policy(site.pk, on=TODAY).adopted == ("NSPCC-2023 version 1", "SITE-1 version 1")


def test_an_adopted_set_holds_from_its_day_on_and_asks_by_itself(site: Site, by: int) -> None:
    adopt_rule_set(site_id=site.pk, version_id=shipped("SCOUTING-AMERICA").pk, by=by, on=TOMORROW)

    assert len(load_policy(site.pk, on=TODAY).tables) == 1
    # Scouting America, Scouting's Barriers to Abuse: registered adults of 21 and over.
    assert [table.adult_from for table in load_policy(site.pk, on=TOMORROW).tables] == [18, 21]


def test_adopting_twice_is_once(site: Site, by: int) -> None:
    which = shipped("NSPCC-2023").pk
    first = adopt_rule_set(site_id=site.pk, version_id=which, by=by, on=TODAY)

    assert adopt_rule_set(site_id=site.pk, version_id=which, by=by, on=TOMORROW) == first
    assert Adoption.objects.filter(site=site, rule_set_id=which).count() == 1


def test_a_set_of_another_site_or_no_set_is_unknown(site: Site, by: int) -> None:
    other = Site.objects.get(slug="elsewhere")
    theirs = revise(other, by, shipped("SITE-1").pk, {"company.adults_in_sight": "3"})

    for number in (theirs.id, 999_999):
        with pytest.raises(RuleSetUnknown):
            adopt_rule_set(site_id=site.pk, version_id=number, by=by, on=TODAY)


def test_an_ended_adoption_holds_no_more_and_stays_in_the_history(site: Site, by: int) -> None:
    adoption = Adoption.objects.get(site=site, rule_set__code="SITE-1")

    end_adoption(site_id=site.pk, adoption_id=adoption.pk, by=by, on=TOMORROW)

    adoption.refresh_from_db()
    assert (adoption.ended_on, adoption.ended_name) == (TOMORROW, "Ilse Vandermolen")
    assert load_policy(site.pk, on=TODAY).loads is not None
    assert load_policy(site.pk, on=TOMORROW).loads is None
    with pytest.raises(RuleSetUnknown, match="in force"):
        end_adoption(site_id=site.pk, adoption_id=adoption.pk, by=by, on=TOMORROW)


def test_the_last_table_of_ratios_is_not_ended(site: Site, by: int) -> None:
    adoption = Adoption.objects.get(site=site, rule_set__code="NSPCC-2023")

    with pytest.raises(RuleSetRefused, match="only adopted set with a table"):
        end_adoption(site_id=site.pk, adoption_id=adoption.pk, by=by, on=TODAY)

    assert Adoption.objects.get(pk=adoption.pk).ended_on is None


def test_a_revision_is_the_next_version_and_the_old_one_stays_as_it_was(
    site: Site, by: int
) -> None:
    before = shipped("NSPCC-2023")

    made = revise(site, by, before.pk, {LEAST: "3"})

    assert (made.code, made.version, made.own) == ("NSPCC-2023", 2, True)
    assert made.rules.supervision is not None
    assert made.rules.supervision.least_adults == 3
    assert (made.rules.confirmed_by, made.confirmed_name) == ("Ilse Vandermolen",) * 2
    assert (made.rules.checked_on, made.because) == (TODAY, "checked again")
    again = RuleSetVersion.objects.get(pk=before.pk)
    assert (again.content, again.created_at) == (before.content, before.created_at)
    assert [kept.version for kept in load_versions(site.pk) if kept.code == "NSPCC-2023"] == [2, 1]


def test_a_revision_is_adopted_where_the_version_before_was(site: Site, by: int) -> None:
    revise(site, by, shipped("NSPCC-2023").pk, {LEAST: "3"})

    assert load_policy(site.pk, on=TODAY).supervision.least_adults == 3
    assert load_policy(site.pk, on=TODAY - timedelta(days=1)).supervision.least_adults == 2
    old = Adoption.objects.get(site=site, rule_set=shipped("NSPCC-2023"))
    assert old.ended_on == TODAY


def test_a_revision_of_one_site_is_none_of_anothers(site: Site, by: int) -> None:
    revise(site, by, shipped("NSPCC-2023").pk, {LEAST: "3"})
    other = Site.objects.get(slug="elsewhere")

    assert find_version(other.pk, "NSPCC-2023", 2) is None
    assert load_policy(other.pk, on=TODAY).supervision.least_adults == 2


def nothing_changed(kept: KeptRuleSet | None) -> bool:
    return kept is None and RuleSetVersion.objects.filter(site__isnull=False).count() == 0


@pytest.mark.parametrize(
    ("changes", "because", "error", "said"),
    [
        ({LEAST: "2"}, "why not", RuleSetRefused, "Nothing was changed"),
        ({LEAST: "3"}, "  ", RuleSetRefused, "Say why"),
        ({LEAST: "three"}, "why not", FigureRefused, "must be a whole number"),
        ({"supervision.name": "x"}, "why not", FigureRefused, "has no figure"),
    ],
)
def test_what_cannot_be_revised_leaves_everything_as_it_was(
    site: Site, by: int, changes, because, error, said
) -> None:
    with pytest.raises(error, match=said):
        revise(site, by, shipped("NSPCC-2023").pk, changes, because)

    assert nothing_changed(find_version(site.pk, "NSPCC-2023", 2))


def test_an_old_version_is_not_revised_over_a_newer_one(site: Site, by: int) -> None:
    revise(site, by, shipped("NSPCC-2023").pk, {LEAST: "3"})

    with pytest.raises(RuleSetRefused, match="Version 2 of NSPCC-2023 was made meanwhile"):
        revise(site, by, shipped("NSPCC-2023").pk, {LEAST: "4"})


def test_the_database_keeps_versions_apart(site: Site) -> None:
    row = shipped("NSPCC-2023")
    row.pk = None

    with pytest.raises(IntegrityError), transaction.atomic():
        row.save(force_insert=True)


def test_a_schools_own_set_holds_on_top_where_its_class_comes_and_nowhere_else(
    site: Site, by: int
) -> None:
    group = SchoolGroup.objects.get(code="SLUICE-7")
    board = shipped("LESTER-B-PEARSON")
    adopt_rule_set(site_id=site.pk, version_id=board.pk, by=by, on=TODAY, group_id=group.pk)

    with_class = load_roster_problem(Session.objects.get(code="S04").pk)
    without = load_roster_problem(Session.objects.get(code="S05").pk)

    assert [table.code for table in with_class.policy.tables] == ["NSPCC-2023", board.code]
    assert [table.code for table in without.policy.tables] == ["NSPCC-2023"]
    with pytest.raises(RuleSetUnknown, match="no class number"):
        adopt_rule_set(site_id=site.pk, version_id=board.pk, by=by, on=TODAY, group_id=999)
