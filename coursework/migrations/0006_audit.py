import json
from typing import Any

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.utils import timezone

from coursework.audit_chain import BEFORE_THE_FIRST, hash_of

REFUSED = "The audit table is only ever added to."
SQLITE = {
    "audit_never_updated": f"""
        CREATE TRIGGER audit_never_updated BEFORE UPDATE ON coursework_auditrow
        BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END""",
    "audit_never_deleted": f"""
        CREATE TRIGGER audit_never_deleted BEFORE DELETE ON coursework_auditrow
        BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END""",
    # INSERT OR REPLACE takes rows out without asking the trigger for DELETE.
    "audit_never_replaced": """
        CREATE TRIGGER audit_never_replaced BEFORE INSERT ON coursework_auditrow
        WHEN EXISTS (
            SELECT 1 FROM coursework_auditrow
            WHERE number = NEW.number OR hash = NEW.hash OR previous_hash = NEW.previous_hash
        )
        BEGIN SELECT RAISE(ABORT, 'The audit table is only ever added to.'); END""",
}
POSTGRESQL = (
    f"""
    CREATE FUNCTION coursework_audit_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
    BEGIN
        RAISE EXCEPTION '{REFUSED}' USING ERRCODE = 'restrict_violation';
    END $$""",
    """
    CREATE TRIGGER audit_never_changed
    BEFORE UPDATE OR DELETE OR TRUNCATE ON coursework_auditrow
    FOR EACH STATEMENT EXECUTE FUNCTION coursework_audit_refuse()""",
)
POSTGRESQL_BACK = (
    "DROP TRIGGER audit_never_changed ON coursework_auditrow",
    "DROP FUNCTION coursework_audit_refuse()",
)


def guard(_apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Let the database refuse every change of a row, and every row less."""
    for statement in POSTGRESQL if _is_postgresql(editor) else SQLITE.values():
        editor.execute(statement)


def lift(_apps: StateApps, editor: BaseDatabaseSchemaEditor) -> None:
    """Take the guard away, before the table goes."""
    for statement in POSTGRESQL_BACK if _is_postgresql(editor) else _drops():
        editor.execute(statement)


def _is_postgresql(editor: BaseDatabaseSchemaEditor) -> bool:
    return editor.connection.vendor == "postgresql"


def _drops() -> list[str]:
    return [f"DROP TRIGGER {name}" for name in SQLITE]


def take_over(apps: StateApps, _editor: BaseDatabaseSchemaEditor) -> None:
    """Open the chain with the fingerprints of the records that were issued so far."""
    audit_row: Any = apps.get_model("coursework", "AuditRow")
    records = apps.get_model("coursework", "IssuedRecord").objects.order_by("issued_at", "pk")
    at, last_hash, rows = timezone.now(), BEFORE_THE_FIRST, []
    named = records.defer("master").select_related("enrolment__user", "enrolment__section__term")
    for number, each in enumerate(named.iterator(), start=1):
        user = each.enrolment.user
        name = f"{user.first_name} {user.last_name}".strip() or user.username
        row = audit_row(
            number=number,
            at=at,
            school_id=each.enrolment.section.term.school_id,
            act="record_taken_over",
            about_kind="issuedrecord",
            about_key=str(each.pk),
            about_name=f"{each.code}, issue {each.issue} of {name}",
            after=json.dumps({"code": each.code, "sha256": each.sha256}),
            previous_hash=last_hash,
        )
        row.hash = last_hash = hash_of(row)
        rows.append(row)
    audit_row.objects.bulk_create(rows, batch_size=500)


class Migration(migrations.Migration):
    dependencies = [
        ("coursework", "0005_export_files"),
    ]

    operations = [
        migrations.CreateModel(
            name="AuditRow",
            fields=[
                (
                    "number",
                    models.PositiveBigIntegerField(
                        help_text="1 the first, then one more each, without a gap.",
                        primary_key=True,
                        serialize=False,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("actor_name", models.TextField(blank=True, help_text="As it was at that time.")),
                ("act", models.CharField(max_length=40)),
                ("about_kind", models.CharField(max_length=40)),
                ("about_key", models.CharField(max_length=64)),
                ("about_name", models.TextField()),
                (
                    "before",
                    models.TextField(
                        blank=True, help_text="Changed members as JSON, the text hashed."
                    ),
                ),
                (
                    "after",
                    models.TextField(
                        blank=True, help_text="Changed members as JSON, the text hashed."
                    ),
                ),
                ("reason", models.TextField(blank=True)),
                ("request_id", models.CharField(blank=True, max_length=64)),
                ("previous_hash", models.CharField(max_length=64, unique=True)),
                ("hash", models.CharField(max_length=64, unique=True)),
                (
                    "actor",
                    models.ForeignKey(
                        blank=True,
                        db_constraint=False,
                        help_text="Who did it; none where weldlog did it by itself.",
                        null=True,
                        on_delete=django.db.models.deletion.DO_NOTHING,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "school",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="coursework.school",
                    ),
                ),
            ],
            options={
                "ordering": ["number"],
                "indexes": [
                    models.Index(fields=["school", "number"], name="audit_of_school"),
                    models.Index(fields=["act", "about_kind", "about_key"], name="audit_about"),
                ],
            },
        ),
        migrations.RunPython(guard, lift),
        migrations.RunPython(take_over, migrations.RunPython.noop),
    ]
