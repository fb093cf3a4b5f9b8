"""Time to read, show and save a file of ten thousand trees, and of a tenth of them.

Run by hand: `python -m tests.benchmarks.bench_import`. Uses a database of its own that
goes afterwards. Prints; asserts nothing, since times differ between machines.
"""

import os
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path

AT = datetime(2027, 2, 1, 12, 0, tzinfo=UTC)
STEP_M = 8.0


def build_file(trees: int, girth_cm: str) -> bytes:
    """Return a file of trees on a square grid, with a tag, a place and sizes each."""
    side = int(trees**0.5)
    lines = ["tag;species;cultivar;east;north;canopy width (ft);girth (cm)"]
    for number in range(trees):
        row, column = divmod(number, side)
        east, north = 2 + column * STEP_M, 2 + row * STEP_M
        lines.append(f"T{number};apple;Sort {number % 40};{east:.2f};{north:.2f};14;{girth_cm}")
    return "\n".join(lines).replace(".", ",").encode()


def measure(trees: int) -> str:
    """Return a line with the seconds of each step: empty site, the same again, new girths."""
    from orchard.domain.columns import Noun
    from orchard.domain.units import System
    from orchard.models import Area, Site
    from orchard.queries.uploads import build_record
    from orchard.services.import_trees import keep_upload, preview_upload, save_upload

    width = (int(trees**0.5) + 2) * STEP_M
    outline = [[0, 0], [width, 0], [width, width], [0, width]]
    site = Site.objects.create(
        slug=f"bench-{trees}", outline=outline, peg_latitude=52.78, peg_longitude=5.28
    )
    for strip in range(10):
        west, east = width * strip / 10, width * (strip + 1) / 10
        corners = [[west, 0], [east, 0], [east, width], [west, width]]
        Area.objects.create(site=site, code=f"A{strip}", kind="lawn", outline=corners)
    user = find_user()
    words = []
    for what, girth in (("first", "31,4"), ("again", "31,4"), ("every tree changed", "35")):
        data = build_file(trees, girth)
        begun = time.perf_counter()
        upload_id = keep_upload(
            site_id=site.pk, by=user, name="t.csv", noun=Noun.TREE, data=data, at=AT
        )
        kept = time.perf_counter()
        upload = build_record(site.uploads.get(pk=upload_id))
        preview = preview_upload(upload=upload, system=System.METRIC)
        shown = time.perf_counter()
        save_upload(upload=upload, seal=preview.seal, at=AT)
        saved = time.perf_counter()
        changes = preview.changes
        words.append(
            f"{what}: {len(changes.trees_added)} added, {len(changes.trees_changed)} changed, "
            f"{len(changes.trees_left)} left, {len(changes.bad)} bad; "
            f"kept {kept - begun:.2f} s, shown {shown - kept:.2f} s, saved {saved - shown:.2f} s, "
            f"all {saved - begun:.2f} s"
        )
    return f"{trees} trees ({len(data) // 1024} KiB)\n  " + "\n  ".join(words)


def find_user() -> int:
    """Return an account, made now if there is none."""
    from orchard.models import User

    found = User.objects.first() or User.objects.create_user("bench@example.org")
    return found.pk


def run() -> None:
    """Measure in a database of its own."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["ORCHARD_DATA"] = str(Path(folder))
        os.environ["DJANGO_SETTINGS_MODULE"] = "orchard.settings"
        os.environ.pop("ORCHARD_DATABASE_URL", None)
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        for trees in (1_000, 10_000):
            print(measure(trees))


if __name__ == "__main__":
    run()
