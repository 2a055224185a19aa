"""Sent: every message that went out or is waiting."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import content_disposition_header
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.changes.mail.messages import try_again
from garage.changes.mail.telling import report_came_back, told
from garage.pages.sent import sent_page, state_words
from garage.reads import access
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import workshop
from garage.views.forms_mail import ReportForm
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def sent(request: WorkshopRequest) -> HttpResponse:
    return render(request, "garage/sent.html", {"page": sent_page(now=request.now)})


@workshop
@require_safe
def sent_message(request: WorkshopRequest, message_id: int) -> HttpResponse:
    message = access.message_or_404(message_id)
    state = state_words(message, now=request.now)
    return render(request, "garage/sent_message.html", {"message": message, "state": state})


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


@workshop
@require_POST
def sent_told(request: WorkshopRequest, message_id: int) -> HttpResponse:
    """Back to the list, or to the visit whose page has the button too."""
    message = access.message_or_404(message_id)
    then = redirect(f"{reverse('ring-list')}#to-tell")
    if "visit" in request.POST and message.visit:
        then = redirect("visit", number=message.visit.number)
    return pressed(
        request,
        lambda: told(message, by=request.user, now=request.now),
        then=then,
        said=f"Told: {message.subject}.",
    )


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def delivery_report(request: WorkshopRequest) -> HttpResponse:
    """A report that a mail server mailed back, pasted in."""
    form = ReportForm(posted(request))
    if taken := carried_out(form, lambda: report_came_back(**form.cleaned_data, by=request.user, now=request.now)):
        words = ", ".join(f"“{message.subject}” to {message.to}" for message in taken.made)
        messages.success(request, f"Marked as not delivered: {words}. Ring or text instead.")
        return redirect(f"{reverse('ring-list')}#to-tell")
    return render(request, "garage/delivery_report.html", {"form": form}, status=status_of(form))
