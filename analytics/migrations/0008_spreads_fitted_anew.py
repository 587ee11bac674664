"""Fits leave aside what was described afterwards in part: every one is made anew."""

from django.db import migrations


def mark_behind(apps, _schema_editor):
    apps.get_model("analytics", "SpreadFit").objects.update(behind=True)


class Migration(migrations.Migration):
    dependencies = [("analytics", "0007_doubts")]

    operations = [migrations.RunPython(mark_behind, migrations.RunPython.noop)]
