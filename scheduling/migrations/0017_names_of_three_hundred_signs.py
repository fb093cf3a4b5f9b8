
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('scheduling', '0016_company_and_heavy_liking'),
    ]

    operations = [
        migrations.AlterField(
            model_name='invitestate',
            name='attendee_name',
            field=models.CharField(max_length=600),
        ),
        migrations.AlterField(
            model_name='invitestate',
            name='summary',
            field=models.CharField(max_length=900),
        ),
        migrations.AlterField(
            model_name='person',
            name='family_name',
            field=models.CharField(blank=True, max_length=300),
        ),
        migrations.AlterField(
            model_name='person',
            name='first_name',
            field=models.CharField(max_length=300),
        ),
    ]
