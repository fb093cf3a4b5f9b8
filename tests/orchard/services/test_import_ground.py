"""Importing the ground: whole or not at all, again without change, every problem named."""

import shutil
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from orchard.domain.breakdown import break_down_plan
from orchard.domain.errors import TreeWithoutCanopy
from orchard.models import (
    Area,
    Corridor,
    Delivery,
    Locate,
    Material,
    Plan,
    PlanTreatment,
    Pocket,
    Rate,
    RateVersion,
    Reading,
    Site,
    Tool,
    Tree,
)
from orchard.queries.plans import load_place, load_plan, load_store
from orchard.queries.rates import load_rate_table
from orchard.queries.sites import UnknownSite, find_site_id, get_site_facts
from orchard.services.accounts import ensure_account
from orchard.services.import_files import ImportRefused
from orchard.services.import_ground import import_ground
from orchard.services.roles import UnknownRole, end_role, grant_role

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"
AT = datetime(2027, 2, 1, 12, tzinfo=UTC)

Edit = Callable[[str, str, str], None]

pytestmark = pytest.mark.django_db


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo season that a test may spoil."""
    return Path(shutil.copytree(FIXTURES, tmp_path / "season"))


@pytest.fixture
def edit(folder: Path) -> Edit:
    """Replace words that stand once in a file."""

    def replace_once(name: str, old: str, new: str) -> None:
        path = folder / name
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in {name}"
        path.write_text(text.replace(old, new), encoding="utf-8")

    return replace_once


def refusal(folder: Path) -> tuple[str, ...]:
    """What the import says is wrong; nothing may have been written."""
    with pytest.raises(ImportRefused) as caught:
        import_ground(folder, at=AT)
    assert not Site.objects.exists()
    return caught.value.problems


def test_the_demo_ground_holds_what_its_readme_promises() -> None:
    import_ground(FIXTURES, at=AT)
    assert Tree.objects.count() == 36
    assert set(Tree.objects.values_list("species", flat=True)) == {
        "apple",
        "cherry",
        "medlar",
        "pear",
        "plum",
        "quince",
    }
    assert sum(len(tree.stem_diameters_mm) == 2 for tree in Tree.objects.all()) == 4
    assert Area.objects.filter(kind="lawn").count() == 4
    assert [pocket.area.code for pocket in Pocket.objects.all()] == ["A", "B", "C", "D"]
    assert (Corridor.objects.count(), Locate.objects.count()) == (1, 2)
    assert Tool.objects.get(code="hand_auger").on_hand == 2
    assert Tool.objects.get(code="barrow").minimum_age == 14
    assert (Material.objects.count(), Delivery.objects.count()) == (4, 9)
    assert Reading.objects.filter(moisture="dry").count() == 1
    assert RateVersion.objects.count() == 1


def test_a_second_run_changes_nothing() -> None:
    first = import_ground(FIXTURES, at=AT)
    second = import_ground(FIXTURES, at=AT)
    assert first.created > 100
    assert (second.created, second.changed, second.removed) == (0, 0, 0)
    assert second.unchanged == first.created


def test_an_edited_row_changes_one_tree(folder: Path, edit: Edit) -> None:
    import_ground(folder, at=AT)
    edit("trees.csv", "Discovery,9.1,8.9,2.1,", "Discovery,9.1,8.9,2.15,")
    report = import_ground(folder, at=AT)
    trees = report.get_count("trees")
    assert (report.created, report.changed, report.removed) == (0, 1, 0)
    assert (trees.changed, trees.unchanged) == (1, 35)
    assert Tree.objects.get(tag="T02").canopy_radius_m == 2.15


def test_a_plan_line_given_other_trees_is_changed(folder: Path, edit: Edit) -> None:
    import_ground(folder, at=AT)
    edit("plan.toml", 'areas = ["A", "B"]\npriority = 2', 'areas = ["A"]\npriority = 2')
    report = import_ground(folder, at=AT)
    assert report.get_count("plan lines").changed == report.changed == 1
    line = PlanTreatment.objects.get(key="water-september")
    assert {tree.area.code for tree in line.trees.all()} == {"A"}


def test_what_the_files_no_longer_hold_is_removed(folder: Path, edit: Edit) -> None:
    import_ground(folder, at=AT)
    edit("trees.csv", "T36,D,apple,St Edmund's Russet,50.2,39.9,0.9,45,1.0,2026-10-17\n", "")
    report = import_ground(folder, at=AT)
    assert (report.created, report.changed, report.removed) == (0, 0, 1)
    assert not Tree.objects.filter(tag="T36").exists()


def test_every_problem_of_every_file_is_named_and_nothing_is_written(
    folder: Path, edit: Edit
) -> None:
    edit("trees.csv", "T02,A,apple,Discovery,9.1,8.9,2.1,", "T02,A,apple,Discovery,9.1,8.9,wide,")
    edit("trees.csv", "T03,A,", "T03,Z,")
    edit("trees.csv", "T05,A,", "T04,A,")
    edit("trees.csv", "T07,A,plum,Czar,10.0,17.8,2.3,", "T07,A,plum,Czar,10.0,17.8,-2.3,")
    edit("trees.csv", "T08,A,medlar,Nottingham,14.4", "T08,A,medlar,Nottingham,94.4")
    edit("readings.csv", "R12,C,2026-07-25", "R12,C,25 July")
    edit("locates.toml", "last_day = 2027-06-05", "last_day = 2027-03-01")
    edit(
        "stores.toml", 'material = "topsoil"\non = 2027-03-10', 'material = "sand"\non = 2027-03-10'
    )
    edit("plan.toml", 'key = "chips"\ntreatment = "MUL"', 'key = "chips"\ntreatment = "MUC"')
    edit("plan.toml", "cover = 2", "cower = 2")
    problems = refusal(folder)
    expected = [
        ("trees.csv line 3: ", "“wide”", "point"),
        ("trees.csv line 4: ", "“Z”", "A, B, BAY, C, D, PATH, PIT"),
        ("trees.csv line 6: ", "“T04”", "trees.csv line 5"),
        ("trees.csv line 8: ", "-2.3 m", "0.1 to 20 m"),
        ("trees.csv line 9: ", "94.4 m east", "outside area A"),
        ("readings.csv line 13: ", "“25 July”", "2027-04-17"),
        ("locates.toml, locate 1 (“TY-2027-014”): ", "2027-03-01", "2027-03-08"),
        ("stores.toml, delivery 7 (“TOP-1”): ", "“sand”", "chips, compost, topsoil, water"),
        ("plan.toml, line 7 (“chips”): ", "“MUC”", "MUL"),
        ("plan.toml, line 3 (“rings-kept”): ", "“cower”", "cover"),
    ]
    for start, *words in expected:
        found = [problem for problem in problems if problem.startswith(start)]
        assert any(all(word in problem for word in words) for problem in found), (start, problems)
    assert len(problems) == len(expected)


def test_a_treatment_that_needs_an_unknown_tool_is_refused(folder: Path, edit: Edit) -> None:
    edit("stores.toml", 'code = "tamper"', 'code = "rammer"')
    problems = refusal(folder)
    assert len(problems) == 2  # both lines that bore and fill
    assert all("unknown tool “tamper”" in problem for problem in problems)
    assert all("stores.toml" in problem and "rammer" in problem for problem in problems)


def test_a_number_a_treatment_does_not_allow_is_refused(folder: Path, edit: Edit) -> None:
    edit("plan.toml", "depth_mm = 75", "depth_mm = 750")
    (problem,) = refusal(folder)
    assert problem.startswith("plan.toml, line 7 (“chips”)")
    assert "750 mm" in problem
    assert "50 to 100 mm" in problem


@pytest.mark.parametrize(
    "name",
    [
        "site.toml",
        "areas.toml",
        "trees.csv",
        "readings.csv",
        "locates.toml",
        "stores.toml",
        "plan.toml",
    ],
)
def test_a_missing_file_is_named(folder: Path, name: str) -> None:
    (folder / name).unlink()
    assert any(problem.startswith(f"{name}: is missing") for problem in refusal(folder))


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("trees.csv", b"tag,area\nT01,A\n", "lacks the columns"),
        ("trees.csv", "tag;Café".encode("latin-1"), "not UTF-8"),
        ("trees.csv", b'"tag', "cannot be read as CSV"),
        ("plan.toml", b'code = "TY', "cannot be read as TOML"),
        ("plan.toml", b'tool = "x"', "unknown key “tool”"),
        ("site.toml", b'slug = "a\\nb"', "line break"),
    ],
)
def test_files_that_cannot_be_read_are_named(
    folder: Path, name: str, content: bytes, says: str
) -> None:
    (folder / name).write_bytes(content)
    assert any(problem.startswith(name) and says in problem for problem in refusal(folder))


def test_an_import_that_fails_half_way_leaves_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object, **__: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(Rate.objects, "bulk_create", fail)
    with pytest.raises(OSError, match="disk full"):
        import_ground(FIXTURES, at=AT)
    assert not Site.objects.exists()
    assert not Tree.objects.exists()


def test_a_tree_without_a_canopy_loads_and_the_breakdown_names_it(folder: Path, edit: Edit) -> None:
    edit("trees.csv", "T20,C,apple,Cox's Orange Pippin,10.2,26.6,1.8,", "T20,C,apple,,10.2,26.6,,")
    import_ground(folder, at=AT)
    assert Tree.objects.get(tag="T20").canopy_radius_m is None
    site = Site.objects.get()
    rates = load_rate_table(site.pk, on=AT.date())
    with pytest.raises(TreeWithoutCanopy, match="T20"):
        break_down_plan(load_plan(Plan.objects.get().pk), rates, load_store(site.pk))


def test_own_rates_make_another_version_and_the_old_one_stays(folder: Path) -> None:
    import_ground(folder, at=AT)
    rows = "\n".join(
        f"{rate.activity},{rate.unit},{rate.low_min},{rate.likely_min},{rate.high_min},our own"
        for rate in Rate.objects.all()
    )
    head = "activity,unit,low_min,likely_min,high_min,basis\n"
    (folder / "rates.csv").write_text(head + rows + "\n", encoding="utf-8")
    assert import_ground(folder, at=AT).get_count("rate versions").created == 1
    assert import_ground(folder, at=AT).get_count("rate versions").unchanged == 1
    assert RateVersion.objects.count() == 2
    assert {rate.basis for rate in load_rate_table(Site.objects.get().pk, on=AT.date()).rates} == {
        "our own"
    }


def test_rates_that_begin_after_the_import_are_refused(folder: Path, edit: Edit) -> None:
    edit("site.toml", "rates_from = 2025-01-01", "rates_from = 2027-02-02")
    (problem,) = refusal(folder)
    assert "2027-02-02" in problem
    assert str(date(2027, 2, 1)) in problem


def test_the_sites_facts_can_be_asked_for_by_its_short_name() -> None:
    import_ground(FIXTURES, at=AT)
    site_id = find_site_id("traverser-yard")
    assert site_id is not None
    facts = get_site_facts(site_id)
    assert (facts.time_zone, facts.emergency_number) == ("Europe/Amsterdam", "112")
    assert len(load_place(site_id).trees) == 36
    assert find_site_id("no-such-site") is None
    with pytest.raises(UnknownSite):
        get_site_facts(site_id + 1)


def test_an_account_is_made_once_whatever_the_letter_case() -> None:
    first = ensure_account(email="Somebody@Example.org")
    assert ensure_account(email=" somebody@example.org ") == first


def test_a_role_is_granted_once_ended_and_granted_again() -> None:
    import_ground(FIXTURES, at=AT)
    user_id, site_id = ensure_account(email="a@example.org"), Site.objects.get().pk

    def grant() -> bool:
        return grant_role(user_id=user_id, site_id=site_id, kind="coordinator", at=AT)

    def end() -> bool:
        return end_role(user_id=user_id, site_id=site_id, kind="coordinator", at=AT)

    assert [grant(), grant(), end(), end(), grant()] == [True, False, True, False, True]
    with pytest.raises(UnknownRole, match="gardener"):
        grant_role(user_id=user_id, site_id=site_id, kind="gardener", at=AT)


def test_what_stood_there_and_what_the_site_has_are_kept_and_may_be_left_out(
    folder: Path, edit: Edit
) -> None:
    import_ground(folder, at=AT)
    site = Site.objects.get()
    tested, building = Area.objects.get(code="A"), Area.objects.get(code="B")

    assert (site.toilets, site.hand_washes, site.shelter_kind) == (2, 2, "building")
    assert (tested.soil_test_on, tested.soil_test_clear) == (date(2026, 9, 22), True)
    assert (building.was_building, building.soil_test_on) == (True, None)
    assert Tool.objects.get(code="spade").inspected_on == date(2027, 1, 23)

    edit("site.toml", 'shelter_kind = "building"', "")
    edit("site.toml", "toilets = 2", "")
    import_ground(folder, at=AT)

    site.refresh_from_db()
    assert (site.toilets, site.shelter_kind) == (None, "unknown")


def test_a_clear_soil_test_without_its_day_is_refused(folder: Path, edit: Edit) -> None:
    edit("areas.toml", 'carriage washing road, lifted 1998"\nsoil_test_on = 2026-09-22', 'road"')

    with pytest.raises(ImportRefused, match="has no “soil_test_on”"):
        import_ground(folder, at=AT)
