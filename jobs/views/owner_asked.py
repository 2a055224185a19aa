"""By personal link an owner says yes or no to more work at a price, once."""

from __future__ import annotations

from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from garage.models.visits import Visit
from garage.reads import links
from garage.views.answers import carried_out, posted, sentence_of, status_of
from garage.views.by_link import by_link
from garage.views.requests import OwnerRequest
from jobs.changes import consents
from jobs.pages.asked import asked_shown
from jobs.reads.consents import asked_or_404, photo_shown_or_404
from jobs.views.forms_asked import OwnerAnswerForm


@by_link(links.VISIT)
@require_http_methods(["GET", "HEAD", "POST"])
def owner_asked(request: OwnerRequest, visit: Visit, consent_id: int) -> HttpResponse:
    """Looking answers nothing: a mail reader follows links too."""
    consent, form = asked_or_404(visit, consent_id), OwnerAnswerForm(posted(request))
    if carried_out(form, lambda: consents.answer_by_owner(consent, **form.cleaned_data, now=request.now)):
        return redirect("owner-asked", token=request.link_token, consent_id=consent_id)
    values = {"shown": asked_shown(asked_or_404(visit, consent_id)), "visit": visit}
    values |= {"token": request.link_token, "trouble": sentence_of(form)}
    return render(request, "jobs/owner_asked.html", values, status=status_of(form))


@by_link(links.VISIT)
@require_safe
def owner_asked_photo(request: OwnerRequest, visit: Visit, consent_id: int, photo_id: int) -> FileResponse:
    file = photo_shown_or_404(asked_or_404(visit, consent_id), photo_id).file
    try:
        return FileResponse(file.open(), content_type="image/jpeg")
    except FileNotFoundError as gone:
        raise Http404 from gone
