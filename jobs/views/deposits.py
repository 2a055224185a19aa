"""A deposit that is kept, after a late calling-off or when nobody came, and one that is given back later after all."""

from functools import partial

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from garage.reads.access import visit_for
from garage.views.answers import posted, status_of
from garage.views.doors import money
from garage.views.requests import WorkshopRequest
from jobs.changes.credit_notes import give_back
from jobs.changes.kept_deposits import keep
from jobs.reads.access import credit_notes_of, kept_deposit_of, kept_deposit_on
from jobs.reads.book import given_back
from jobs.views.forms_money import CreditForm, KeepForm, carried_out_once


@money
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_keep(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), KeepForm(posted(request))
    if carried_out_once(request, form, visit, partial(keep, visit)) and (kept := kept_deposit_of(visit)):
        messages.success(request, "Kept: it is income now. Its paper is made and mailed.")
        return redirect("invoice", number=kept.invoice.number)
    return render(request, "jobs/deposit_keep.html", {"visit": visit, "form": form}, status=status_of(form))


@money
@require_http_methods(["GET", "HEAD", "POST"])
def credit_note_issue(request: WorkshopRequest, number: int) -> HttpResponse:
    """number: of the kept deposit's invoice."""
    kept = kept_deposit_on(number)
    still_kept = kept.invoice.gross - given_back(kept)
    form = CreditForm(posted(request), initial={"amount": still_kept})
    if carried_out_once(request, form, kept.visit, partial(give_back, kept)):
        messages.success(request, "Given back: it is in the book. Its credit note is made and mailed.")
        return redirect("invoice", number=credit_notes_of(kept)[-1].invoice.number)
    values = {"kept": kept, "still_kept": still_kept, "form": form}
    return render(request, "jobs/credit_note_issue.html", values, status=status_of(form))
