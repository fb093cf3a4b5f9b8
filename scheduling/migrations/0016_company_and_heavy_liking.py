import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("orchard", "0011_site_changes_about_people"),
        ("scheduling", "0015_consent_forms_say_why_and_ask_anew"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CompanyWish",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
            ],
            options={
                "ordering": ["person", "other"],
            },
        ),
        migrations.AddField(
            model_name="person",
            name="heavy_liking",
            field=models.SmallIntegerField(default=0),
        ),
        migrations.AddConstraint(
            model_name="person",
            constraint=models.CheckConstraint(
                condition=models.Q(("heavy_liking__gte", -1), ("heavy_liking__lte", 1)),
                name="person_likes_heavy_work_light_or_either",
            ),
        ),
        migrations.AddField(
            model_name="companywish",
            name="other",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="wished_by",
                to="scheduling.person",
            ),
        ),
        migrations.AddField(
            model_name="companywish",
            name="person",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.CASCADE,
                related_name="company_wishes",
                to="scheduling.person",
            ),
        ),
        migrations.AddConstraint(
            model_name="companywish",
            constraint=models.UniqueConstraint(
                fields=("person", "other"), name="company_wished_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="companywish",
            constraint=models.CheckConstraint(
                condition=models.Q(("person", models.F("other")), _negated=True),
                name="company_is_somebody_else",
            ),
        ),
    ]
