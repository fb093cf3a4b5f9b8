from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('scheduling', '0004_season_plan_work_digest'),
    ]

    operations = [
        migrations.AlterField(
            model_name='rulesetversion',
            name='code',
            field=models.CharField(max_length=40),
        ),
    ]
