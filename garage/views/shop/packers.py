"""Packers in stock, as the boss counts them."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes.shop import packer_stock
from garage.core.text.packer_words import mm_words
from garage.models.packers import PackerStock
from garage.reads.access import packer_or_404
from garage.reads.shop import packers_in_stock
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss
from garage.views.requests import WorkshopRequest
from garage.views.shop.forms_packers import PackerCountForm, PackerForm


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_packers(request: WorkshopRequest) -> HttpResponse:
    form = PackerForm(posted(request))
    if carried_out(form, lambda: packer_stock.add(by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("shop-packers")
    return _page(request, new=form)


@boss
@require_POST
def shop_packer_alter(request: WorkshopRequest, packer_id: int) -> HttpResponse:
    row = packer_or_404(packer_id)
    form = PackerCountForm(request.POST, auto_id=f"id_{row.pk}_%s")
    if carried_out(form, lambda: packer_stock.alter(row, by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Packers of {mm_words(row.thickness_mm)} are saved.")
        return redirect("shop-packers")
    return _page(request, altered=(row, form))


@boss
@require_POST
def shop_packer_remove(request: WorkshopRequest, packer_id: int) -> HttpResponse:
    row = packer_or_404(packer_id)
    said = f"Packers of {mm_words(row.thickness_mm)} are off the list."
    return pressed(
        request,
        lambda: packer_stock.remove(row, by=request.user, now=request.now),
        then=redirect("shop-packers"),
        said=said,
    )


def _page(
    request: WorkshopRequest,
    *,
    new: PackerForm | None = None,
    altered: tuple[PackerStock, PackerCountForm] | None = None,
) -> HttpResponse:
    """The list with a small form per row. The row that was mistyped keeps what was typed."""
    wrong = {altered[0].pk: altered[1]} if altered else {}
    lines = [(row, wrong.get(row.pk) or _form_of(row)) for row in packers_in_stock()]
    status = status_of(altered[1] if altered else new)
    return render(request, "garage/shop_packers.html", {"lines": lines, "form": new or PackerForm()}, status=status)


def _form_of(row: PackerStock) -> PackerCountForm:
    return PackerCountForm(
        initial={"count": row.count, "price_each": row.price_each},
        auto_id=f"id_{row.pk}_%s",
        use_required_attribute=True,
    )
