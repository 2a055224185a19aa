"""One owner's data: handed out as one file, or erased."""

import tempfile

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from garage.changes.people.erasing import erase
from garage.core.keeping.periods import INVOICES
from garage.pages.owner_data import file_name, write_owner_data
from garage.reads import access
from garage.reads.about_owner import with_doubles
from garage.reads.owners import open_numbers
from garage.views.answers import carried_out, posted, status_of
from garage.views.doors import money
from garage.views.owners.forms import EraseForm
from garage.views.requests import WorkshopRequest


@money
@require_safe
def owner_data(request: WorkshopRequest, owner_id: int) -> FileResponse:
    row = access.owner_or_404(owner_id)
    file = tempfile.TemporaryFile()  # noqa: SIM115  the answer closes it; clips may be too large for memory
    write_owner_data(file, row, shop_name=request.shop.name, now=request.now)
    file.seek(0)
    return FileResponse(file, as_attachment=True, filename=file_name(row, request.now), content_type="application/zip")


@money
@require_http_methods(["GET", "HEAD", "POST"])
def owner_erase(request: WorkshopRequest, owner_id: int) -> HttpResponse:
    row = access.owner_or_404(owner_id)
    form = EraseForm(posted(request))
    if carried_out(form, lambda: erase(row, by=request.user, now=request.now)):
        messages.success(request, "Erased. Papers of the book stay until the law lets them go.")
        return redirect("owner", owner_id=owner_id)
    owners = with_doubles(row)
    values = {
        "owner": row,
        "doubles": [one for one in owners if one.pk != row.pk],
        "still_open": open_numbers(owners),
        "invoices_words": INVOICES.words,
        "backups": settings.BACKUPS_KEPT,
        "form": form,
    }
    return render(request, "garage/owner_erase.html", values, status=status_of(form))
