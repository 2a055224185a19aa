"""The shop's messages: which are on, their words, and how one reads with a real visit."""

from __future__ import annotations

from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from garage.changes.mail.messages import Letter
from garage.changes.mail.worded import letter_in, reword
from garage.core.mail.wording import MEANS, WORDED, check_wording
from garage.models.visits import Visit
from garage.output.speaking import speaking
from garage.reads.wordings import ShopWording, wording_of, wordings
from garage.views.answers import CarriedOut, carried_out, posted, status_of
from garage.views.doors import boss, fresh
from garage.views.requests import WorkshopRequest
from jobs.pages.wordings import visit_to_show
from jobs.reads.reminders import how_far_the_sheet_is
from jobs.reads.worded_values import more_values
from jobs.views.forms_wordings import WordingForm


@dataclass(frozen=True)
class Shown:
    """A message as the owner of this visit would get it."""

    visit: Visit
    letter: Letter


@boss
@require_safe
def shop_messages(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/shop_messages.html", {"wordings": wordings()})


@boss
@fresh
@require_http_methods(["GET", "HEAD", "POST"])
def shop_message(request: WorkshopRequest, what: str) -> HttpResponse:
    if what not in WORDED:
        raise Http404
    wording, form = wording_of(what), WordingForm(posted(request))
    is_meant = request.POST.get("do") == "save"
    if is_meant and carried_out(form, lambda: _save(request, what, form)):
        messages.success(request, f"Saved: {wording.title}.")
        return redirect("shop-message", what=what)
    if not form.is_bound:
        form = WordingForm(initial=_first_values(wording, as_delivered="delivered" in request.GET))
    values = {
        "wording": wording,
        "form": form,
        "placeholders": [(f"{{{name}}}", MEANS[name]) for name in WORDED[what].placeholders],
        "shown": _shown(request, what, form),
    }
    return render(request, "jobs/shop_message.html", values, status=status_of(form))


def _save(request: WorkshopRequest, what: str, form: WordingForm) -> None:
    typed = {name: form.cleaned_data[name] for name in ("is_on", "subject", "text")}
    reword(what, **typed, by=request.user, now=request.now)


def _first_values(wording: ShopWording, *, as_delivered: bool) -> dict[str, object]:
    words = WORDED[wording.what] if as_delivered else wording
    return {"is_on": wording.is_on, "subject": words.subject, "text": words.text}


def _shown(request: WorkshopRequest, what: str, form: WordingForm) -> Shown | None:
    """The words that stand in the form, once they can be used. None while no visit could get them."""
    if not form.is_bound:
        first = form.initial
        visit = visit_to_show(what, None)
        return _letter(request, what, first["subject"], first["text"], visit) if visit else None
    looked = carried_out(form, lambda: _look(request, what, form)) if form.is_valid() else None
    return looked.made if isinstance(looked, CarriedOut) else None


def _look(request: WorkshopRequest, what: str, form: WordingForm) -> Shown | None:
    typed = form.cleaned_data
    check_wording(what, subject=typed["subject"], text=typed["text"])
    visit = visit_to_show(what, typed["visit"])
    return _letter(request, what, typed["subject"], typed["text"], visit) if visit else None


def _letter(request: WorkshopRequest, what: str, subject: str, text: str, visit: Visit) -> Shown:
    with speaking(visit.owner.language):
        more = more_values(visit, sheet=how_far_the_sheet_is(visit))
    return Shown(visit, letter_in(what, subject, text, visit, request.shop, more=more))
