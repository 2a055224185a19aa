"""Packers in stock, as the boss counts them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from garage.changes import packers
from garage.core.packer_words import mm_words
from garage.reads.packers import in_stock
from garage.views.answers import carried_out, status_of
from garage.views.doors import boss
from garage.views.forms_packers import PackerCountForm, PackerForm


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_packers(request: HttpRequest) -> HttpResponse:
    form = PackerForm(request.POST or None)
    if carried_out(form, lambda: packers.add(by=request.user, **form.cleaned_data)):
        return redirect("shop-packers")
    return _page(request, new=form, status=status_of(form))


@boss
@require_POST
def shop_packer_alter(request: HttpRequest, packer_id: int) -> HttpResponse:
    row = get_object_or_404(in_stock(), pk=packer_id)
    form = PackerCountForm(request.POST, auto_id=f"id_{row.pk}_%s")
    if carried_out(form, lambda: packers.alter(row, by=request.user, **form.cleaned_data)):
        messages.success(request, f"Packers of {mm_words(row.thickness_mm)} are saved.")
        return redirect("shop-packers")
    return _page(request, wrong={row.pk: form}, status=status_of(form))


@boss
@require_POST
def shop_packer_remove(request: HttpRequest, packer_id: int) -> HttpResponse:
    row = get_object_or_404(in_stock(), pk=packer_id)
    packers.remove(row, by=request.user)
    messages.success(request, f"Packers of {mm_words(row.thickness_mm)} are off the list.")
    return redirect("shop-packers")


def _page(
    request: HttpRequest, *, new: PackerForm | None = None, wrong: dict | None = None, status: int = 200
) -> HttpResponse:
    """The list with a small form a row; a row that was typed wrong keeps what was typed."""
    lines = [(row, (wrong or {}).get(row.pk) or _form_of(row)) for row in in_stock()]
    return render(request, "garage/shop_packers.html", {"lines": lines, "form": new or PackerForm()}, status=status)


def _form_of(row: object) -> PackerCountForm:
    return PackerCountForm(
        initial={"count": row.count, "price_each": row.price_each},
        auto_id=f"id_{row.pk}_%s",
        use_required_attribute=True,
    )
