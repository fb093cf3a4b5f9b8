from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('scheduling', '0014_searches_with_answers_season_notes'),
    ]

    operations = [
        migrations.AddField(
            model_name='consentform',
            name='asks_anew',
            field=models.BooleanField(default=True),
        ),
        migrations.AddField(
            model_name='consentform',
            name='because',
            field=models.CharField(blank=True, max_length=300),
        ),
    ]
