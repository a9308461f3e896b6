"""The one Django app."""

from django.apps import AppConfig


class CourseworkConfig(AppConfig):
    """Coupons, grades and records of a school."""

    name = "coursework"
    verbose_name = "Coursework"
    default_auto_field = "django.db.models.BigAutoField"
