"""The owner's clip of the rev-out: how to make one, sending it, what was heard, deleting it.

Once the machine is here the clip can only be looked at. A recording is sent as a chosen file is.
"""

from __future__ import annotations

from typing import cast

from csp.decorators import csp_update
from django.http import Http404, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from diagnostics.core.rev_out_safety import TICKS, TICKS_THAT_RULE_IT_OUT
from diagnostics.hearing.changes.clips import delete
from diagnostics.hearing.changes.taking_in import LARGEST_MB, allowed_words, send
from diagnostics.hearing.pages.clip_picture import picture_of
from diagnostics.hearing.pages.owner_clip import owner_clip_page, owner_clips_kept
from diagnostics.hearing.reads.clips import clip_by_link
from diagnostics.hearing.views.sounds import sound_answer
from diagnostics.hearing.views.uploads import ClipView, clip_in, limit, reads_its_form_itself
from garage.core.errors import Showable
from garage.core.text.languages import told
from garage.models.actors import OWNER
from garage.models.visits import Visit
from garage.output.pictures import CONTENT_TYPE
from garage.views.by_link import by_link
from garage.views.permissions import may_record
from garage.views.requests import OwnerRequest


def _plays_what_is_recorded(view: ClipView) -> ClipView:
    """A recording is listened to before it is sent. The decorator's own types know views of a request alone."""
    return cast("ClipView", csp_update({"media-src": ["blob:"]})(view))


@reads_its_form_itself
@by_link("sheet")
@may_record
@_plays_what_is_recorded
@vary_on_headers("HX-Request")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_clip(request: OwnerRequest, visit: Visit) -> HttpResponse:
    if request.method != "POST":
        return _page(request, visit)
    try:
        limit(request)
        send(visit, upload=clip_in(request), now=request.now)
    except Showable as error:
        return _page(request, visit, error)
    return redirect("sheet-clip", token=request.link_token)


@by_link("sheet")
@require_POST
def sheet_clip_delete(request: OwnerRequest, visit: Visit, clip_id: int) -> HttpResponse:
    try:
        delete(clip_by_link(visit, clip_id), by=OWNER, now=request.now)
    except Showable as error:
        return _page(request, visit, error)
    return redirect("sheet-clip", token=request.link_token)


@by_link("sheet")
@require_safe
def sheet_clip_sound(request: OwnerRequest, visit: Visit, clip_id: int) -> HttpResponseBase:
    return sound_answer(request, clip_by_link(visit, clip_id).file)


@by_link("sheet")
@require_safe
def sheet_clip_picture(_request: OwnerRequest, visit: Visit, clip_id: int) -> HttpResponse:
    return _picture(visit, clip_id)


@by_link("visit")
@require_safe
def owner_clip_kept(request: OwnerRequest, visit: Visit) -> HttpResponse:
    """Once the machine is here the check sheet's link is dead, so what was sent is shown behind the visit's."""
    shown = {"visit": visit, "clips": owner_clips_kept(visit, now=request.now), "token": request.link_token}
    return render(request, "hearing/owner_clip_kept.html", shown)


@by_link("visit")
@require_safe
def owner_clip_sound(request: OwnerRequest, visit: Visit, clip_id: int) -> HttpResponseBase:
    return sound_answer(request, clip_by_link(visit, clip_id).file)


@by_link("visit")
@require_safe
def owner_clip_picture(_request: OwnerRequest, visit: Visit, clip_id: int) -> HttpResponse:
    return _picture(visit, clip_id)


def _picture(visit: Visit, clip_id: int) -> HttpResponse:
    picture = picture_of(clip_by_link(visit, clip_id))
    if picture is None:
        raise Http404
    return HttpResponse(picture, content_type=CONTENT_TYPE)


def _page(request: OwnerRequest, visit: Visit, error: Showable | None = None) -> HttpResponse:
    shown = {
        "page": owner_clip_page(visit, now=request.now),
        "token": request.link_token,
        "trouble": error.sentence if error else "",
        "ticks": [told(TICKS[name]) for name in TICKS_THAT_RULE_IT_OUT],
        "allowed": allowed_words(),
        "largest_mb": LARGEST_MB,
    }
    return render(request, "hearing/owner_clip.html", shown, status=error.status if error else 200)
