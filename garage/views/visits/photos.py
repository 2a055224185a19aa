"""Photos of a visit: stored privately and shown only to the workshop."""

from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from garage.changes.visit import photos
from garage.reads import access
from garage.views.answers import pressed
from garage.views.body_limits import takes_a_file
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest
from garage.views.visits.forms import PhotoForm

PAGES = {"card", "gate", "take-in", "visit"}  # where the button may be


@workshop
@require_safe
def photo(request: WorkshopRequest, photo_id: int) -> FileResponse:
    file = access.photo_or_404(photo_id).file
    try:
        return FileResponse(file.open(), content_type="image/jpeg")
    except FileNotFoundError as gone:
        raise Http404 from gone


@takes_a_file(photos.LARGEST_BYTES)
@workshop
@require_POST
def photo_add(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = access.visit_for(request.user, number), PhotoForm(request.POST, request.FILES)
    then = _back(request, number)
    return pressed(request, lambda: photos.add(visit, by=request.user, now=request.now, **form.sent()), then=then)


@workshop
@require_POST
def photo_delete(request: WorkshopRequest, photo_id: int) -> HttpResponse:
    row = access.photo_or_404(photo_id)
    then = _back(request, row.visit.number)
    return pressed(request, lambda: photos.take_away(row, by=request.user, now=request.now), then=then)


def _back(request: WorkshopRequest, number: int) -> HttpResponse:
    """To the page with the button."""
    back = request.POST.get("back", "")
    return redirect(f"{reverse(back if back in PAGES else 'visit', args=[number])}#photos")
