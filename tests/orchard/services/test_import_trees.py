"""Uploads: kept for a while, shown, saved once, and harmless when pressed twice."""

from datetime import UTC, datetime, timedelta
from uuid import UUID

import pytest
import time_machine

from orchard.domain.columns import Noun
from orchard.domain.errors import PlannerError
from orchard.domain.geojson import write_geojson
from orchard.domain.place import Place
from orchard.domain.place_tables import write_areas, write_trees
from orchard.domain.units import System
from orchard.models import Area, Rate, Role, Site, Tree, Upload, User
from orchard.queries.pegs import load_pegs, load_plane
from orchard.queries.plans import load_place
from orchard.queries.rates import load_rate_table
from orchard.queries.units import load_system
from orchard.queries.uploads import KEPT_FOR, UploadRecord, find_upload
from orchard.services.import_trees import (
    LARGEST_BYTES,
    UploadRefused,
    choose_columns,
    keep_upload,
    preview_upload,
    read_upload,
    save_upload,
)
from orchard.services.pegs import PegRefused, record_peg, remove_peg
from orchard.services.place_changes import PlaceHasChanged, SavedChanges
from orchard.services.sites import NewSite, SiteRefused, start_site
from orchard.services.units import choose_units

NOW = datetime(2027, 2, 1, 12, 0, tzinfo=UTC)
OUTLINE = ((0.0, 0.0), (60.0, 0.0), (60.0, 40.0), (0.0, 40.0))
AREAS = "code,name,kind,east,north\nA,Lawn,lawn,1,1\nA,,,50,1\nA,,,50,39\nA,,,1,39\n"
TREES = (
    "tag;species;east;north;canopy width (ft);stems (mm)\n"
    "T1;apple;4,5;5;16;100\n"
    "T2;pear;14,5;5;12;80\n"
    "T3;plum;99;5;12;80\n"
)

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def still() -> object:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def person() -> int:
    return User.objects.create_user("new@example.org").pk


@pytest.fixture
def site(person: int) -> int:
    return start_site(new=build_new(), by=person, at=NOW)


def build_new(**more: object) -> NewSite:
    said: dict[str, object] = {
        "slug": "small-yard",
        "name": "Small Yard",
        "town": "Ellemarre",
        "time_zone": "Europe/Amsterdam",
        "units": System.METRIC,
        "peg_latitude": 52.78,
        "peg_longitude": 5.28,
        "outline": OUTLINE,
        "entrance": "Gate",
        "emergency_number": "112",
        "nearest_emergency_department": "Hospital",
        "muster_point": "Gate",
        "shelter": "Shed",
        "organiser_name": "Friends",
    }
    return NewSite(**{**said, **more})  # type: ignore[arg-type]


def keep(
    site: int, person: int, text: str, noun: Noun = Noun.TREE, name: str = "file.csv"
) -> UploadRecord:
    upload_id = keep_upload(
        site_id=site, by=person, name=name, noun=noun, data=text.encode(), at=NOW
    )
    return get(upload_id, site, person)


def get(upload_id: UUID, site: int, person: int) -> UploadRecord:
    found = find_upload(upload_id=upload_id, site_id=site, user_id=person, now=NOW)
    assert found is not None
    return found


def bring_in(
    site: int, person: int, text: str, noun: Noun = Noun.TREE, name: str = "file.csv"
) -> SavedChanges:
    upload = keep(site, person, text, noun, name)
    seal = preview_upload(upload=upload, system=System.METRIC).seal
    return save_upload(upload=upload, seal=seal, at=NOW)


@pytest.fixture
def lawn(site: int, person: int) -> int:
    assert bring_in(site, person, AREAS, Noun.AREA).areas_added == 1
    return site


def test_an_empty_site_has_a_coordinator_and_the_usual_rates(site: int, person: int) -> None:
    place = load_place(site)

    assert place == Place("Small Yard", OUTLINE, (), (), ())
    assert Role.objects.get(site_id=site).kind == "coordinator"
    assert load_rate_table(site, on=NOW.date()).get_rate("backfill").unit == "hole"
    assert Rate.objects.filter(version__site_id=site).count() > 10


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"slug": "admin"}, "is taken"),
        ({"slug": "small-yard"}, "is taken"),
        ({"slug": "b", "time_zone": "Mars/Olympus"}, "no time zone"),
        ({"slug": "b", "outline": ((0, 0), (9, 9), (9, 0), (0, 9))}, "crosses itself"),
    ],
)
def test_a_site_that_cannot_be_started(
    site: int, person: int, more: dict[str, object], sentence: str
) -> None:
    with pytest.raises(PlannerError, match=sentence):
        start_site(new=build_new(**more), by=person, at=NOW)
    assert Site.objects.count() == 1
    assert issubclass(SiteRefused, PlannerError)


def test_looking_saves_nothing_and_saving_saves_the_good_rows(lawn: int, person: int) -> None:
    upload = keep(lawn, person, TREES)
    seen = preview_upload(upload=upload, system=System.METRIC)

    assert not Tree.objects.exists()
    assert len(seen.changes.trees_added) == 2
    assert [row.name for row in seen.changes.bad] == ["T3"]

    saved = save_upload(upload=upload, seal=seen.seal, at=NOW)

    assert (saved.trees_added, saved.rows_left_out) == (2, 1)
    tree = Tree.objects.get(tag="T1")
    # By hand: 16 ft across is 8 ft of radius, 2.4384 m.
    assert (tree.east_m, tree.canopy_radius_m, tree.stem_diameters_mm) == (4.5, 2.438, [100])


def test_saving_twice_does_what_saving_once_does(lawn: int, person: int) -> None:
    upload = keep(lawn, person, TREES)
    seal = preview_upload(upload=upload, system=System.METRIC).seal

    first = save_upload(upload=upload, seal=seal, at=NOW)
    rows = list(Tree.objects.values_list())
    second = save_upload(upload=upload, seal=seal, at=NOW)

    assert first == second
    assert list(Tree.objects.values_list()) == rows
    assert bytes(Upload.objects.get(pk=upload.id).content) == b""


def test_the_same_file_again_changes_nothing(lawn: int, person: int) -> None:
    bring_in(lawn, person, TREES)
    rows = list(Tree.objects.values_list())

    again = preview_upload(upload=keep(lawn, person, TREES), system=System.METRIC)

    assert again.changes.is_empty
    assert again.changes.trees_left == ("T1", "T2")
    assert list(Tree.objects.values_list()) == rows


def test_what_the_site_has_become_since_is_never_overwritten_unseen(lawn: int, person: int) -> None:
    upload = keep(lawn, person, TREES)
    seal = preview_upload(upload=upload, system=System.METRIC).seal
    bring_in(lawn, person, "tag,species,east,north\nT1,quince,20,20\n")

    with pytest.raises(PlaceHasChanged, match="Look at the changes again"):
        save_upload(upload=upload, seal=seal, at=NOW)

    assert Tree.objects.get().species == "quince"
    assert Upload.objects.get(pk=upload.id).saved_at is None


def test_a_seal_is_of_one_file_for_a_while(lawn: int, person: int) -> None:
    upload, other = keep(lawn, person, TREES), keep(lawn, person, TREES)
    seal = preview_upload(upload=other, system=System.METRIC).seal

    for wrong in (seal, "made up", ""):
        with pytest.raises(UploadRefused):
            save_upload(upload=upload, seal=wrong, at=NOW)
    own = preview_upload(upload=upload, system=System.METRIC).seal
    with (
        time_machine.travel(NOW + KEPT_FOR + timedelta(minutes=1), tick=False),
        pytest.raises(UploadRefused, match="too old"),
    ):
        save_upload(upload=upload, seal=own, at=NOW)
    assert not Tree.objects.exists()


def test_an_upload_is_seen_by_its_sender_on_its_site_until_it_is_old(
    lawn: int, person: int
) -> None:
    upload = keep(lawn, person, TREES)
    other = User.objects.create_user("other@example.org").pk
    elsewhere = start_site(new=build_new(slug="elsewhere"), by=person, at=NOW)

    def find(site: int, user: int, now: datetime) -> UploadRecord | None:
        return find_upload(upload_id=upload.id, site_id=site, user_id=user, now=now)

    assert find(lawn, person, NOW) == upload
    assert find(lawn, other, NOW) is None
    assert find(elsewhere, person, NOW) is None
    assert find(lawn, person, NOW + KEPT_FOR + timedelta(seconds=1)) is None
    keep_upload(
        site_id=lawn,
        by=person,
        name="x.csv",
        noun=Noun.TREE,
        data=TREES.encode(),
        at=NOW + KEPT_FOR + timedelta(seconds=1),
    )
    assert not Upload.objects.filter(pk=upload.id).exists()


def test_a_changed_meaning_is_kept(lawn: int, person: int) -> None:
    upload = keep(lawn, person, "a,b,x,y\nT1,apple,5,6\n")
    (guessed,) = read_upload(upload)
    assert [c.meaning and c.meaning.value for c in guessed.columns][:2] == [None, None]
    assert guessed.problems
    with pytest.raises(UploadRefused, match="No column holds the tag"):
        preview_upload(upload=upload, system=System.METRIC)

    choices = [
        ("tag", ""),
        ("species", ""),
        ("distance east of the peg", "foot"),
        ("distance north of the peg", "foot"),
    ]
    choose_columns(upload=upload, choices={Noun.TREE: choices})

    changes = preview_upload(upload=get(upload.id, lawn, person), system=System.METRIC).changes
    assert changes.trees_added[0].tree.position == (1.524, 1.829)


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "is empty"),
        (b"tag\n" + b"x" * LARGEST_BYTES, "at most 4 MB"),
        (b"PK\x03\x04", "workbook"),
        (b"{}", "FeatureCollection"),
    ],
)
def test_a_file_that_is_not_taken(lawn: int, person: int, data: bytes, sentence: str) -> None:
    with pytest.raises(PlannerError, match=sentence):
        keep_upload(site_id=lawn, by=person, name="f.csv", noun=Noun.TREE, data=data, at=NOW)
    assert Upload.objects.filter(saved_at__isnull=True).count() == 0


def test_everything_out_and_into_an_empty_site_and_out_again(lawn: int, person: int) -> None:
    bring_in(lawn, person, TREES)
    place = load_place(lawn)
    fresh = start_site(new=build_new(slug="fresh"), by=person, at=NOW)

    bring_in(fresh, person, write_areas(place), Noun.AREA)
    bring_in(fresh, person, write_trees(place))

    assert load_place(fresh) == place
    assert write_trees(load_place(fresh)) == write_trees(place)


def test_geojson_brings_areas_and_trees_in_one_file(lawn: int, person: int) -> None:
    bring_in(lawn, person, TREES)
    text = write_geojson(load_place(lawn), load_plane(lawn))
    fresh = start_site(new=build_new(slug="fresh"), by=person, at=NOW)

    saved = bring_in(fresh, person, text, name="place.geojson")
    again = preview_upload(
        upload=keep(lawn, person, text, name="place.json"), system=System.METRIC
    ).changes

    assert (saved.areas_added, saved.trees_added) == (1, 2)
    assert write_geojson(load_place(fresh), load_plane(fresh)) == text
    assert again.is_empty


def test_a_changed_area_keeps_its_row(lawn: int, person: int) -> None:
    before = Area.objects.get(code="A").pk
    saved = bring_in(lawn, person, "code,name,kind\nA,Wide lawn,bed\n", Noun.AREA)

    area = Area.objects.get(code="A")
    assert (saved.areas_changed, area.pk, area.name, area.kind) == (1, before, "Wide lawn", "bed")
    assert len(area.outline) == 4


def test_pegs_are_kept_moved_and_taken_away(site: int) -> None:
    assert record_peg(site_id=site, name="P1", at=(6.0, 0.0))
    assert not record_peg(site_id=site, name="p1", at=(7.0, 0.5))
    assert load_pegs(site) == {"P1": (7.0, 0.5)}
    with pytest.raises(PegRefused, match="own peg"):
        record_peg(site_id=site, name="peg", at=(1.0, 1.0))
    with pytest.raises(PegRefused, match="at most 5000 m"):
        record_peg(site_id=site, name="P2", at=(float("nan"), 1.0))
    assert remove_peg(site_id=site, name="P1")
    assert not remove_peg(site_id=site, name="P1")


def test_units_are_the_persons_own_else_the_sites(site: int, person: int) -> None:
    assert load_system(user_id=person, site_id=site) is System.METRIC
    Site.objects.filter(pk=site).update(units="us")
    assert load_system(user_id=person, site_id=site) is System.US
    choose_units(user_id=person, system=System.METRIC)
    assert load_system(user_id=person, site_id=site) is System.METRIC
    choose_units(user_id=person, system=None)
    assert load_system(user_id=person, site_id=site) is System.US
