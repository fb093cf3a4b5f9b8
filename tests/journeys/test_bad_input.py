"""What goes wrong in an orchard: each is answered by a sentence, and nothing is half saved."""

import shutil
from collections.abc import Callable
from http import HTTPStatus
from io import StringIO
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import CommandError, call_command
from django.test import Client

from orchard.models import PlanTreatment, Pocket, Task, Tree
from scheduling.models import Person, PlannedWork, SeasonPlan, Session, SignUp
from tests.conftest import FIXTURES
from tests.journeys.conftest import Enter
from tests.signed_in import COORDINATOR, NOW, SEASON, SITE

PLAN = f"{SITE}/plans/TY-27"
S02 = f"{SEASON}/sessions/S02"


def rows() -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table of the place and of the people."""
    return {
        model._meta.label: list(model.objects.order_by("pk").values_list())
        for label in ("orchard", "scheduling")
        for model in apps.get_app_config(label).get_models()
    }


@pytest.fixture
def coordinator(enter: Enter) -> Client:
    return enter(COORDINATOR)


def take_out_every_line() -> None:
    PlanTreatment.objects.all().delete()


def forget_a_canopy() -> None:
    Tree.objects.filter(tag="T17").update(canopy_radius_m=None)


def put_a_pocket_on_the_filled_pit() -> None:
    """Area PIT of fixtures/areas.toml is ground that must not be dug: brick just under grass."""
    Pocket.objects.filter(code="P4").update(outline=[[4, 22], [8, 22], [8, 23], [4, 23]])


def name_a_tool_nobody_has() -> None:
    apps.get_model("orchard", "Tool").objects.filter(code="hand_auger").delete()


@pytest.mark.parametrize(
    ("spoil", "found", "remedy"),
    [
        (take_out_every_line, "holds no treatment", "Add a line"),
        (forget_a_canopy, "T17", "Measure"),
        (put_a_pocket_on_the_filled_pit, "P4", "Move"),
        (name_a_tool_nobody_has, "hand_auger", "store"),
    ],
)
def test_a_plan_that_cannot_be_broken_down(
    coordinator: Client, spoil: Callable[[], None], found: str, remedy: str
) -> None:
    spoil()
    before = rows()

    preview = coordinator.get(f"{PLAN}/changes/")
    answer = coordinator.post(f"{PLAN}/publish/", follow=True)

    assert preview.status_code == answer.status_code == HTTPStatus.OK
    sentence = answer.content.decode().split("Nothing was published. ")[1].split("</p>")[0]
    assert found in sentence
    assert remedy in sentence
    assert sentence.endswith(".")
    assert sentence in preview.content.decode()
    assert "Publish tasks</button>" not in preview.content.decode()
    assert rows() == before


@pytest.fixture
def planned_day(coordinator: Client) -> Session:
    """S02 with one task to do and nobody signed up."""
    session = Session.objects.get(code="S02")
    SignUp.objects.filter(session=session).delete()
    plan = SeasonPlan.objects.create(
        season=session.season, made_at=NOW, status="good", seconds=0, seed=1, engine="by hand"
    )
    task = Task.objects.filter(kind="weed").earliest("position")
    PlannedWork.objects.create(
        season_plan=plan, session=session, task=task, units=task.units, required=True
    )
    return session


def test_a_roster_with_nobody_signed_up(coordinator: Client, planned_day: Session) -> None:
    before = rows()

    text = coordinator.post(f"{S02}/roster/propose/", follow=True).content.decode()

    assert "Nobody is signed up for S02. Ask people to sign up, then propose a roster." in text
    assert rows() == before


def test_a_roster_with_no_adult_signed_up(coordinator: Client, planned_day: Session) -> None:
    for code in ("P42", "P53", "P56"):
        SignUp.objects.create(
            session=planned_day,
            person=Person.objects.get(code=code),
            state=SignUp.State.CONFIRMED,
            at=NOW,
        )
    before = rows()

    text = coordinator.post(f"{S02}/roster/propose/", follow=True).content.decode()

    assert "No adult is signed up for S02: 3 young people would be alone." in text
    assert "Find supervising adults first, or call the session off." in text
    assert rows() == before


def test_a_season_with_nobody_signed_up(coordinator: Client) -> None:
    SignUp.objects.all().delete()
    before = rows()

    text = coordinator.post(f"{SEASON}/plan/", follow=True).content.decode()

    assert "The season was not planned. Nobody is signed up for any session" in text
    assert rows() == before


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the demo season that a test may spoil."""
    return Path(shutil.copytree(FIXTURES, tmp_path / "season"))


def spoil_file(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("name", "old", "new", "sentence"),
    [
        ("stores.toml", 'code = "hand_auger"', 'code = "hand_augur"', "hand_auger"),
        ("plan.toml", 'treatment = "GRO"', 'treatment = "GRW"', "GRW"),
        ("skills.csv", "P01,", "P99,", "P99"),
    ],
)
def test_a_file_with_a_name_nobody_knows_loads_nothing_at_all(
    coordinator: Client, folder: Path, name: str, old: str, new: str, sentence: str
) -> None:
    spoil_file(folder, name, old, new)
    before = rows()

    with pytest.raises(CommandError) as refused:
        call_command("load_season", folder=folder, stdout=StringIO())

    assert sentence in str(refused.value)
    assert name.split(".")[0] in str(refused.value)
    assert rows() == before


def test_files_of_a_plan_without_a_line_load_and_publishing_says_what_to_add(
    coordinator: Client, folder: Path
) -> None:
    plan = folder / "plan.toml"
    plan.write_text(plan.read_text(encoding="utf-8").split("[[line]]")[0], encoding="utf-8")
    call_command("load_season", folder=folder, stdout=StringIO())
    assert not PlanTreatment.objects.exists()
    kept = list(Task.objects.order_by("pk").values_list())

    text = coordinator.post(f"{PLAN}/publish/", follow=True).content.decode()

    assert "Nothing was published. The plan" in text
    assert "holds no treatment. Add a line with a treatment" in text
    assert list(Task.objects.order_by("pk").values_list()) == kept
