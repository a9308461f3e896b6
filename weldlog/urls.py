"""Root addresses."""

from django.urls import include, path

urlpatterns = [path("", include("coursework.urls"))]
