"""What is kept of whoever brings a machine, how long, and how to have it out or erased: for everybody to read."""

from django.conf import settings
from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.core.keeping.periods import kept_things
from garage.views.requests import PageRequest


@require_safe
def privacy(request: PageRequest) -> HttpResponse:
    return render(request, "garage/privacy.html", {"things": kept_things(backups=settings.BACKUPS_KEPT)})
