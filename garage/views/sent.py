"""Sent: every message that went out or is waiting."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from garage.changes.mail.messages import try_again
from garage.pages.sent import sent_page, state_words
from garage.reads import access
from garage.views.answers import pressed
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def sent(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/sent.html", {"page": sent_page()})


@workshop
@require_safe
def sent_message(request: WorkshopRequest, message_id: int) -> HttpResponse:
    message = access.message_or_404(message_id)
    return render(request, "garage/sent_message.html", {"message": message, "state": state_words(message)})


@workshop
@require_safe
def enclosure(request: WorkshopRequest, message_id: int, enclosure_id: int) -> HttpResponse:
    row = access.enclosure_or_404(message_id, enclosure_id)
    disposition = content_disposition_header(as_attachment=True, filename=row.name)
    return HttpResponse(bytes(row.content), row.content_type, headers={"Content-Disposition": disposition})


@workshop
@require_POST
def sent_again(request: WorkshopRequest, message_id: int) -> HttpResponse:
    message = access.message_or_404(message_id)
    return pressed(
        request,
        lambda: try_again(message, by=request.user, now=request.now),
        then=redirect("sent-message", message_id=message_id),
        said="It will be tried again now.",
    )
