from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("orchard", "0006_units_pegs_uploads"),
    ]

    operations = [
        migrations.RemoveConstraint(model_name="holerecord", name="hole_told_once"),
        migrations.AlterModelOptions(name="holerecord", options={"ordering": ["id"]}),
        migrations.RemoveField(model_name="holerecord", name="number"),
        migrations.AddField(
            model_name="holerecord",
            name="name",
            field=models.CharField(default="", max_length=12),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            model_name="holerecord",
            constraint=models.UniqueConstraint(
                fields=("pocket", "name", "east_m", "north_m"), name="hole_told_once"
            ),
        ),
    ]
