from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.db.models import Count, F, OuterRef, Subquery
from django.db.models.functions import Coalesce


def carry_over(apps: StateApps, _editor: BaseDatabaseSchemaEditor) -> None:
    """Release the grades that students have seen all along, and count safety stops."""
    grade = apps.get_model("coursework", "Grade")
    grade.objects.filter(released_at=None).update(released_at=F("graded_at"))
    school_settings = apps.get_model("coursework", "SchoolSettings")
    school_settings.objects.exclude(limit_sets=[]).update(limit_sets=[])
    assessment = apps.get_model("coursework", "Assessment")
    finding = apps.get_model("coursework", "Finding")
    stopped = (
        finding.objects.filter(
            assessment=OuterRef("pk"), severity="stop", rule__startswith="safety-"
        )
        .order_by()
        .values("assessment")
        .annotate(number=Count("pk"))
        .values("number")
    )
    assessment.objects.filter(stops__gt=0).update(safety_stops=Coalesce(Subquery(stopped), 0))


class Migration(migrations.Migration):
    dependencies = [("coursework", "0002_office_and_bench")]

    operations = [migrations.RunPython(carry_over, migrations.RunPython.noop)]
