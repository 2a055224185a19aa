"""Everything that the garage keeps, in one file, for whoever leaves: asked for, watched, taken away."""

from django import forms
from django.http import FileResponse, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from garage.changes.shop import exports
from garage.core.keeping.periods import WHOLE_EXPORTS
from garage.pages.everything import file_name
from garage.reads.exports import last_export
from garage.views.answers import carried_out, pressed, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest


@boss
@require_safe
def shop_everything(request: WorkshopRequest) -> HttpResponse:
    return _page(request, forms.Form())


@boss
@fresh
@require_POST
def everything_ask(request: WorkshopRequest) -> HttpResponse:
    return pressed(request, lambda: exports.ask(by=request.user, now=request.now), then=redirect("shop-everything"))


@boss
@fresh
@require_POST
def everything_take(request: WorkshopRequest) -> HttpResponseBase:
    """A press and no link: the password is asked for anew, and what anybody links to takes nothing away."""
    form = forms.Form(request.POST)
    taken = carried_out(form, lambda: exports.taken(last_export(), by=request.user, now=request.now))
    if taken is None:
        return _page(request, form)
    file, name = taken.made.open("rb"), file_name(request.now)
    return FileResponse(file, as_attachment=True, filename=name, content_type="application/zip")


@boss
@require_POST
def everything_forget(request: WorkshopRequest) -> HttpResponse:
    return pressed(
        request,
        lambda: exports.forget(by=request.user, now=request.now),
        then=redirect("shop-everything"),
        said="Deleted.",
    )


def _page(request: WorkshopRequest, form: forms.Form) -> HttpResponse:
    export = last_export()
    values = {"form": form, "export": export, "ends_at": export and export.asked_at + WHOLE_EXPORTS.length}
    return render(request, "garage/shop_everything.html", values, status=status_of(form))
