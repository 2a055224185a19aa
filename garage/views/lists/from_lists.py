"""Machine kinds and owners from a list: sent, looked at, then taken in."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.shop import lists
from garage.core.lists.plan import LineCounts
from garage.core.lists.table import MOST_BYTES, check_size
from garage.models.list_files import ListFile
from garage.pages.lists_seen import columns_of, list_seen
from garage.reads.access import list_file_or_404
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.body_limits import takes_a_file
from garage.views.doors import boss
from garage.views.requests import WorkshopRequest

WHAT = ((ListFile.KINDS, "Machine kinds"), (ListFile.OWNERS, "Owners and their machines"))


class ListForm(forms.Form):
    what = forms.ChoiceField(label="What is in it", choices=WHAT)
    file = forms.FileField(label="The file", help_text=f"CSV, up to {MOST_BYTES / 1e6:.0f} MB.")


class TakeForm(forms.Form):
    """What the look said, and whether the refused lines are left out."""

    new = forms.IntegerField(min_value=0)
    changed = forms.IntegerField(min_value=0)
    same = forms.IntegerField(min_value=0)
    refused = forms.IntegerField(min_value=0)
    only_good = forms.BooleanField(required=False)


@takes_a_file(MOST_BYTES)
@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_lists(request: WorkshopRequest) -> HttpResponse:
    form = ListForm(posted(request), request.FILES or None)
    if kept := carried_out(form, lambda: _keep(request, form.cleaned_data)):
        return redirect("shop-list", list_id=kept.made.pk)
    values = {"form": form, "lists": [(words, columns_of(what)) for what, words in WHAT]}
    return render(request, "garage/shop_lists.html", values, status=status_of(form))


@boss
@require_safe
def shop_list(request: WorkshopRequest, list_id: int) -> HttpResponse:
    return _look(request, list_file_or_404(list_id), None)


@boss
@require_POST
def shop_list_take(request: WorkshopRequest, list_id: int) -> HttpResponse:
    row, form = list_file_or_404(list_id), TakeForm(request.POST)
    if carried_out(form, lambda: _take(request, row, form)):
        messages.success(request, f"{row.name} is taken in.")
        return redirect("shop-machine-kinds" if row.what == ListFile.KINDS else "owners")
    return _look(request, row, form)


@boss
@require_POST
def shop_list_forget(request: WorkshopRequest, list_id: int) -> HttpResponse:
    lists.forget(list_file_or_404(list_id))
    messages.success(request, "Forgotten. Nothing of it was taken in.")
    return redirect("shop-lists")


def _keep(request: WorkshopRequest, sent: dict[str, Any]) -> ListFile:
    """Nothing of a file that is too large is read."""
    check_size(sent["file"].size)
    content = sent["file"].read()
    return lists.keep(what=sent["what"], name=sent["file"].name, content=content, by=request.user, now=request.now)


def _take(request: WorkshopRequest, row: ListFile, form: TakeForm) -> None:
    sent = dict(form.cleaned_data)
    only_good = sent.pop("only_good")
    lists.take_kept(row, seen=LineCounts(**sent), only_good=only_good, by=request.user, now=request.now)


def _look(request: WorkshopRequest, row: ListFile, form: TakeForm | None) -> HttpResponse:
    """As the garage is now, with the sentence of why it was not taken in."""
    values = {"row": row, "page": list_seen(row), "trouble": sentence_of(form)}
    return render(request, "garage/shop_list.html", values, status=status_of(form))
