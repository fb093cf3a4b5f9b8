"""Holes that sessions recorded before each hole was kept: the first of the task, by the count."""

from zoneinfo import ZoneInfo

from django.db import migrations


def name_holes(apps, schema_editor):
    work_records = apps.get_model("scheduling", "WorkRecord").objects
    hole_records = apps.get_model("orchard", "HoleRecord").objects
    pockets = apps.get_model("orchard", "Pocket").objects
    rows = work_records.filter(task__kind="core", units__gt=0).select_related(
        "task__plan", "record__session__season__site"
    )
    for work in rows.order_by("record__session__starts_at", "pk"):
        task, session = work.task, work.record.session
        pocket = pockets.filter(
            site_id=task.plan.site_id, code=task.content.get("pocket", "")
        ).first()
        if pocket is None:
            continue
        told = set(hole_records.filter(pocket=pocket).values_list("name", "east_m", "north_m"))
        free = [
            hole
            for hole in task.content["holes"]
            if hole.get("name") and (hole["name"], *hole["at"]) not in told
        ]
        zone = ZoneInfo(session.season.site.time_zone)
        hole_records.bulk_create(
            hole_records.model(
                pocket=pocket,
                name=hole["name"],
                east_m=hole["at"][0],
                north_m=hole["at"][1],
                outcome="bored",
                on=session.starts_at.astimezone(zone).date(),
                task=task,
                assumed=True,
            )
            for hole in free[: work.units]
        )


class Migration(migrations.Migration):

    dependencies = [
        ("orchard", "0008_holes_bored"),
        ("scheduling", "0009_care_and_readers"),
    ]

    operations = [migrations.RunPython(name_holes, migrations.RunPython.noop, elidable=True)]
