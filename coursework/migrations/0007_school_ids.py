"""Every school gets an id of its own, from which other systems know what is stored here."""

import uuid

from django.db import migrations, models


def give_ids(apps, schema_editor):
    schools = apps.get_model("coursework", "School").objects.using(schema_editor.connection.alias)
    for school in schools.filter(public_id=None):
        school.public_id = uuid.uuid4()
        school.save(update_fields=["public_id"])


HELP = "Other systems know everything of the school by ids made from it."


class Migration(migrations.Migration):
    dependencies = [("coursework", "0006_audit")]

    operations = [
        migrations.AddField(
            model_name="school",
            name="public_id",
            field=models.UUIDField(default=None, editable=False, null=True),
        ),
        migrations.RunPython(give_ids, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="school",
            name="public_id",
            field=models.UUIDField(default=uuid.uuid4, editable=False, help_text=HELP, unique=True),
        ),
    ]
