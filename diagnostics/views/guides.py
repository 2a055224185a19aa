"""The guides, for anybody: the list, and a page each."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.core.guides.guides import GUIDES, guide_at
from diagnostics.pages.guides import guide_shown
from garage.views.requests import PageRequest


@require_safe
def guides(request: PageRequest) -> HttpResponse:
    return render(request, "guides/guides.html", {"guides": GUIDES})


@require_safe
def guide(request: PageRequest, slug: str) -> HttpResponse:
    found = guide_at(slug)
    if found is None:
        raise Http404("No guide has that address.")
    page = guide_shown(found)
    return render(request, page.template, {"page": page, "guide": page.guide, "drawings": page.drawings})
