from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("scoring", "0004_competitions")]

    operations = [
        migrations.AddField(
            model_name="competition",
            name="withheld",
            field=models.CharField(blank=True, max_length=80),
        ),
    ]
