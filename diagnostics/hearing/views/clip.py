"""A clip as the workshop has it: its page with picture and sound, a person's own verdict, heard again, deleted."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from diagnostics.hearing.changes.clips import delete, hear_again, own_verdict, own_verdict_withdrawn
from diagnostics.hearing.changes.taking_in import take_in
from diagnostics.hearing.pages.clip import clip_page
from diagnostics.hearing.pages.clip_picture import picture_of
from diagnostics.hearing.reads.clips import clip_for
from diagnostics.hearing.views.sounds import sound_answer
from diagnostics.hearing.views.uploads import clip_in, limit, reads_its_form_itself
from garage.core.errors import Showable
from garage.models.visits import Visit
from garage.output.pictures import CONTENT_TYPE
from garage.reads import access
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def clip(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    shown = {"page": clip_page(clip_for(request.user, number, clip_id), now=request.now)}
    return render(request, "hearing/clip.html", shown)


@workshop
@require_safe
def clip_picture(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    picture = picture_of(clip_for(request.user, number, clip_id))
    if picture is None:
        raise Http404
    return HttpResponse(picture, content_type=CONTENT_TYPE)


@workshop
@require_safe
def clip_sound(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponseBase:
    return sound_answer(request, clip_for(request.user, number, clip_id).file)


@reads_its_form_itself
@workshop
@require_POST
@csrf_exempt  # the token comes in the same form as the file: it is looked at in _added, once the limit stands
def clip_add(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        limit(request)
    except Showable as error:
        return _not_added(request, visit, error)
    return _added(request, visit)


@csrf_protect
def _added(request: WorkshopRequest, visit: Visit) -> HttpResponse:
    try:
        taken = take_in(visit, upload=clip_in(request), by=request.user, now=request.now)
    except Showable as error:
        return _not_added(request, visit, error)
    return redirect("clip", number=visit.number, clip_id=taken.pk)


def _not_added(request: WorkshopRequest, visit: Visit, error: Showable) -> HttpResponse:
    """Reads nothing of what was sent: a file that is too large is left unread."""
    messages.error(request, error.sentence)
    return redirect("findings", number=visit.number)


@workshop
@require_POST
def clip_verdict(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    found, verdict = clip_for(request.user, number, clip_id), request.POST.get("verdict", "")
    return pressed(
        request,
        lambda: own_verdict(found, verdict=verdict, by=request.user, now=request.now),
        then=redirect("clip", number=number, clip_id=clip_id),
        said="Your verdict stands, and the visit is judged again.",
    )


@workshop
@require_POST
def clip_verdict_back(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    found = clip_for(request.user, number, clip_id)
    return pressed(
        request,
        lambda: own_verdict_withdrawn(found, by=request.user, now=request.now),
        then=redirect("clip", number=number, clip_id=clip_id),
        said="Taken back: what was heard counts again.",
    )


@workshop
@require_POST
def clip_again(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    found = clip_for(request.user, number, clip_id)
    return pressed(
        request,
        lambda: hear_again(found, by=request.user, now=request.now),
        then=redirect("clip", number=number, clip_id=clip_id),
    )


@workshop
@require_POST
def clip_delete(request: WorkshopRequest, number: int, clip_id: int) -> HttpResponse:
    found = clip_for(request.user, number, clip_id)
    return pressed(
        request,
        lambda: delete(found, by=request.user, now=request.now),
        then=redirect("findings", number=number),
        said="The clip is deleted.",
    )
