"""How weldlog is used, in one page; open to everybody."""

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render


@login_not_required
def view(request: HttpRequest) -> HttpResponse:
    return render(request, "coursework/help.html")
