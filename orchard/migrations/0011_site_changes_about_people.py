from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('orchard', '0010_care_and_readers'),
    ]

    operations = [
        migrations.AlterField(
            model_name='sitechange',
            name='about',
            field=models.CharField(choices=[('facts', 'facts'), ('figures', 'figures'), ('rates', 'rates'), ('people', 'people')], max_length=8),
        ),
    ]
