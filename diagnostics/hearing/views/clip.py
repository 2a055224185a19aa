"""A clip as the workshop has it: its page with picture and sound, a person's own verdict, heard again, deleted."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.csrf import csrf_exempt, csrf_protect
from django.views.decorators.http import require_POST, require_safe

from diagnostics.hearing.changes import clips as changes
from diagnostics.hearing.changes.clips import delete
from diagnostics.hearing.pages.clip import clip_page, drawn
from diagnostics.hearing.pages.clip_picture import clip_chart
from diagnostics.hearing.pages.clips import clip_for
from diagnostics.hearing.views.sounds import sound_answer
from diagnostics.hearing.views.uploads import clip_in, limit
from diagnostics.views.findings import findings_answer
from garage.core.errors import BadInput, Refused, Showable
from garage.models.visits import Visit
from garage.output.pictures import CONTENT_TYPE
from garage.reads import access
from garage.views.doors import workshop

STATUS = {BadInput: 422, Refused: 409}


@workshop
@require_safe
def clip(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    return _page(request, number, clip_id)


@workshop
@require_safe
def clip_picture(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    shown = drawn(clip_for(request.user, number, clip_id))
    if shown is None:
        raise Http404
    return HttpResponse(clip_chart(shown), content_type=CONTENT_TYPE)


@workshop
@require_safe
def clip_sound(request: HttpRequest, number: int, clip_id: int) -> HttpResponseBase:
    return sound_answer(request, clip_for(request.user, number, clip_id).file)


@workshop
@require_POST
@csrf_exempt  # the token comes in the same form as the file: it is looked at in _taken_in, once the limit stands
def clip_add(request: HttpRequest, number: int) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    try:
        limit(request)
    except BadInput as error:
        return findings_answer(request, visit, error)
    return _taken_in(request, visit)


@csrf_protect
def _taken_in(request: HttpRequest, visit: Visit) -> HttpResponse:
    try:
        taken = changes.take_in(visit, upload=clip_in(request), by=request.user)
    except Showable as error:
        messages.error(request, error.sentence)
        return redirect("findings", number=visit.number)
    return redirect("clip", number=visit.number, clip_id=taken.pk)


@workshop
@require_POST
def clip_verdict(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    found = clip_for(request.user, number, clip_id)
    try:
        changes.own_verdict(found, verdict=request.POST.get("verdict", ""), by=request.user)
    except Showable as error:
        return _page(request, number, clip_id, error)
    messages.success(request, "Your verdict stands, and the visit is judged again.")
    return redirect("clip", number=number, clip_id=clip_id)


@workshop
@require_POST
def clip_verdict_back(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    try:
        changes.own_verdict_withdrawn(clip_for(request.user, number, clip_id), by=request.user)
    except Showable as error:
        return _page(request, number, clip_id, error)
    messages.success(request, "Taken back: what was heard counts again.")
    return redirect("clip", number=number, clip_id=clip_id)


@workshop
@require_POST
def clip_again(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    try:
        changes.hear_again(clip_for(request.user, number, clip_id), by=request.user)
    except Showable as error:
        return _page(request, number, clip_id, error)
    return redirect("clip", number=number, clip_id=clip_id)


@workshop
@require_POST
def clip_delete(request: HttpRequest, number: int, clip_id: int) -> HttpResponse:
    try:
        delete(clip_for(request.user, number, clip_id), by=request.user)
    except Showable as error:
        messages.error(request, error.sentence)
    else:
        messages.success(request, "The clip is deleted.")
    return redirect("findings", number=number)


def _page(request: HttpRequest, number: int, clip_id: int, error: Showable | None = None) -> HttpResponse:
    visit = access.visit_for(request.user, number)
    shown = {
        "page": clip_page(visit, clip_for(request.user, number, clip_id)),
        "trouble": error.sentence if error else "",
    }
    return render(request, "diagnostics/clip.html", shown, status=STATUS[type(error)] if error else 200)
