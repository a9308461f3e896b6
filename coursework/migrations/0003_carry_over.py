from typing import Any

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps
from django.db.models import Count, F, OuterRef, Subquery
from django.db.models.functions import Coalesce

CLEANING_ORDER_RULES = (
    "cleaning-coating-left",
    "cleaning-degrease-late",
    "cleaning-degrease-missing",
    "cleaning-dry-late",
    "cleaning-dry-missing",
    "cleaning-edge-work-late",
    "cleaning-oxide-missing",
)


def carry_over(apps: StateApps, _editor: BaseDatabaseSchemaEditor) -> None:
    """Release the grades that students have seen all along; count safety stops and slips."""
    grade = apps.get_model("coursework", "Grade")
    grade.objects.filter(released_at=None).update(released_at=F("graded_at"))
    school_settings = apps.get_model("coursework", "SchoolSettings")
    school_settings.objects.exclude(limit_sets=[]).update(limit_sets=[])
    assessment = apps.get_model("coursework", "Assessment")
    finding = apps.get_model("coursework", "Finding")
    stopped = _number(finding, severity="stop", rule__startswith="safety-")
    assessment.objects.filter(stops__gt=0).update(safety_stops=stopped)
    assessment.objects.update(cleaning_slips=_number(finding, rule__in=CLEANING_ORDER_RULES))


def _number(finding: Any, **which: object) -> Coalesce:
    """Return how many such findings an assessment has, as an expression."""
    found = finding.objects.filter(assessment=OuterRef("pk"), **which).order_by()
    counted = found.values("assessment").annotate(number=Count("pk")).values("number")
    return Coalesce(Subquery(counted), 0)


class Migration(migrations.Migration):
    dependencies = [("coursework", "0002_office_and_bench")]

    operations = [migrations.RunPython(carry_over, migrations.RunPython.noop)]
