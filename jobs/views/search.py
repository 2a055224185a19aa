"""One search box for owners, machines, visits, cards and invoices: in the head of every page of the workshop."""

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from garage.views.answers import sentence_of, status_of
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from jobs.core.search_words import sought
from jobs.reads.found import SHOWN, found
from jobs.views.forms import SearchForm


@workshop
@require_safe
def search(request: WorkshopRequest) -> HttpResponse:
    """Whoever works here may open each page that it leads to: README's table says so, and a test."""
    form = SearchForm(request.GET)
    words = form.cleaned_data["q"] if form.is_valid() else ""
    typed = words or request.GET.get("q", "").replace("\0", "")
    values = {
        "words": typed,
        "seek": typed,  # stays in the box
        "trouble": sentence_of(form),
        "found": found(sought(words, request.shop.calling_code)) if words else None,
        "most": SHOWN,
    }
    return render(request, "jobs/search.html", values, status=status_of(form))
