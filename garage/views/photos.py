"""Photos of a visit: kept privately, shown to the workshop only."""

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from garage.changes import photos
from garage.core.errors import BadInput
from garage.reads import access
from garage.views.doors import workshop
from garage.views.forms_day import PhotoForm

PLACES = {"take-in", "gate", "card"}


@workshop
@require_safe
def photo(request: HttpRequest, photo_id: int) -> HttpResponse:
    return FileResponse(access.photo_or_404(photo_id).file.open(), content_type="image/jpeg")


@workshop
@require_POST
def photo_add(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    taken_for = request.POST.get("taken_for", "card")
    form = PhotoForm(request.POST, request.FILES)
    try:
        if not form.is_valid() or taken_for not in PLACES:
            raise BadInput("photo", None, photos.ALLOWED)
        photos.add(
            visit,
            upload=form.cleaned_data["photo"],
            taken_for=taken_for,
            words=form.cleaned_data["words"],
            by=request.user,
        )
    except BadInput as trouble:
        messages.error(request, trouble.sentence)
    return redirect(
        request.POST.get("back") if request.POST.get("back") in {"card", "gate", "visit"} else "visit", number=number
    )
