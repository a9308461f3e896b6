"""The answer to whoever asks for a file of an issued record whose stored text was changed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from coursework.models import IssuedRecord


def refusal(request: HttpRequest, issued: IssuedRecord) -> HttpResponse:
    """Say in a sentence why no file is made of it."""
    return render(request, "coursework/record_tampered.html", {"issued": issued}, status=409)
