"""Sent: every message that went out or waits."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_POST, require_safe

from garage.changes import messages as changes
from garage.core.errors import Refused
from garage.reads import messages as reads
from garage.views.doors import workshop


@workshop
@require_safe
def sent(request: HttpRequest) -> HttpResponse:
    context = {"unsent": reads.with_words(reads.unsent()), "went_out": reads.with_words(reads.went_out())}
    return render(request, "garage/sent.html", context)


@workshop
@require_safe
def sent_message(request: HttpRequest, message_id: int) -> HttpResponse:
    message = reads.message(message_id)
    return render(request, "garage/sent_message.html", {"message": message, "state": reads.state_words(message)})


@workshop
@require_safe
def enclosure(request: HttpRequest, message_id: int, enclosure_id: int) -> HttpResponse:
    row = reads.enclosure(message_id, enclosure_id)
    disposition = content_disposition_header(as_attachment=True, filename=row.name)
    return HttpResponse(bytes(row.content), row.content_type, headers={"Content-Disposition": disposition})


@workshop
@require_POST
def sent_again(request: HttpRequest, message_id: int) -> HttpResponse:
    try:
        changes.try_again(reads.message(message_id), by=request.user)
    except Refused as refused:
        messages.error(request, refused.sentence)
    else:
        messages.success(request, "It is tried again now.")
    return redirect("sent-message", message_id=message_id)
