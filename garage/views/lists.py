"""Fix first and the ring list: what a person must put right or telephone about."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from garage.changes import ring
from garage.core.errors import Refused
from garage.pages import lists
from garage.reads import access
from garage.views.doors import workshop


@workshop
@require_safe
def fix_first(request: HttpRequest) -> HttpResponse:
    return render(request, "garage/fix_first.html", {"page": lists.fix_first_page()})


@workshop
@require_safe
def ring_list(request: HttpRequest) -> HttpResponse:
    return render(request, "garage/ring_list.html", {"page": lists.ring_page()})


@workshop
@require_POST
def ring_list_done(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        ring.rung(visit, by=request.user, what_was_said=request.POST.get("what_was_said", ""))
    except Refused as refused:
        messages.error(request, refused.sentence)
    return redirect("ring-list")
