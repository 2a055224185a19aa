"""The shop's list of parts, and what was ordered for a card and comes."""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import part_orders, parts
from jobs.models.parts import PartOrder
from jobs.pages.late_parts import late_orders
from jobs.reads.parts import left_over, listed_parts, order_or_404, part_or_404
from jobs.views.forms_parts import StockPartForm


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_parts(request: WorkshopRequest) -> HttpResponse:
    form = StockPartForm(posted(request))
    if carried_out(form, lambda: parts.add(by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"{form.cleaned_data['words']} is on the list.")
        return redirect("shop-parts")
    values = {"parts": listed_parts(), "late": late_orders(left_over()), "form": form}
    return render(request, "jobs/shop_parts.html", values, status=status_of(form))


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_part(request: WorkshopRequest, part_id: int) -> HttpResponse:
    part = part_or_404(part_id)
    first = {name: getattr(part, name) for name in StockPartForm.base_fields}
    form = StockPartForm(posted(request), initial=first)
    if carried_out(form, lambda: parts.alter(part, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"{form.cleaned_data['words']} is saved.")
        return redirect("shop-parts")
    return render(request, "jobs/shop_part.html", {"part": part, "form": form}, status=status_of(form))


@boss
@require_POST
def shop_part_remove(request: WorkshopRequest, part_id: int) -> HttpResponse:
    part = part_or_404(part_id)
    said = f"{part.words} is off the list."
    return pressed(
        request,
        lambda: parts.take_off(part, by=request.user, now=request.now),
        then=redirect("shop-parts"),
        said=said,
    )


@workshop
@require_POST
def card_part_came(request: WorkshopRequest, number: int, order_id: int) -> HttpResponse:
    is_stock = request.POST.get("to") == "stock"  # the page says which, as the card may be closed meanwhile
    return _of_the_order(request, number, order_id, part_orders.into_stock if is_stock else part_orders.came)


@workshop
@require_POST
def card_part_off(request: WorkshopRequest, number: int, order_id: int) -> HttpResponse:
    return _of_the_order(request, number, order_id, part_orders.order_off)


def _of_the_order(request: WorkshopRequest, number: int, order_id: int, change: Callable[..., object]) -> HttpResponse:
    row: PartOrder = order_or_404(visit_for(request.user, number), order_id)
    to_list = request.POST.get("back") == "parts" and request.user.is_boss
    then = redirect(reverse("shop-parts") if to_list else f"{reverse('card', args=[number])}#lines")
    return pressed(request, lambda: change(row, by=request.user, now=request.now), then=then)
