"""The job card: read, written on, its clock, its causes, closed; one thumb."""

from collections.abc import Callable

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.core.errors import Refused
from garage.models.visits import Visit
from garage.output.pdf import pdf
from garage.reads.access import visit_for
from garage.views.answers import carried_out, status_of
from garage.views.doors import workshop
from jobs.changes import cards, labour
from jobs.models.cards import CardLine
from jobs.pages.came_back import of_card
from jobs.pages.card import card_page
from jobs.reads import access
from jobs.views import forms

LINES = {
    "work": (forms.WorkForm, lambda **given: cards.note(what=CardLine.WORK, **given)),
    "part": (forms.PartForm, cards.part),
    "jet": (forms.JetForm, cards.change_of_jet),
    "reading": (forms.ReadingForm, cards.reading),
    "note": (forms.NoteForm, lambda **given: cards.note(what=CardLine.NOTE, **given)),
}
CAUSES = {"cause": (forms.CauseForm, cards.found_cause), "good": (forms.GoodForm, cards.looked_good)}
ADDS = LINES | CAUSES


@workshop
@require_safe
def card(request: HttpRequest, number: int) -> HttpResponse:
    return _card(request, visit_for(request.user, number))


@workshop
@require_safe
def card_pdf(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    page = card_page(visit)
    paper = pdf(render_to_string("papers/card.html", {"page": page, "shop": request.shop}))
    headers = {"Content-Disposition": f'inline; filename="card-{visit.number}.pdf"'}
    return HttpResponse(paper, content_type="application/pdf", headers=headers)


@workshop
@require_POST
def card_add(request: HttpRequest, number: int, what: str) -> HttpResponse:
    visit = visit_for(request.user, number)
    if what not in ADDS:
        raise Http404
    form_class, change = ADDS[what]
    form = form_class(request.POST)
    if not carried_out(form, lambda: change(visit=visit, by=request.user, **form.cleaned_data)):
        return _card(request, visit, failed=form)
    return redirect("card", number=number)


@workshop
@require_POST
def card_line_strike(request: HttpRequest, number: int, line_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    line = access.line_of(visit, line_id)
    return _pressed(request, visit, lambda: cards.strike(line, by=request.user))


@workshop
@require_POST
def card_labour_start(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return _pressed(request, visit, lambda: labour.start(visit, by=request.user))


@workshop
@require_POST
def card_labour_stop(request: HttpRequest, number: int, labour_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    clock = access.labour_of(visit, labour_id)
    return _pressed(request, visit, lambda: labour.stop(clock, by=request.user))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_labour_right(request: HttpRequest, number: int, labour_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    clock = access.labour_of(visit, labour_id)
    form = forms.MinutesForm(request.POST or None)
    if request.method == "POST" and carried_out(
        form, lambda: labour.put_right(clock, by=request.user, **form.cleaned_data)
    ):
        return redirect("card", number=number)
    values = {"visit": visit, "clock": clock, "form": form}
    return render(request, "jobs/card_labour_right.html", values, status=status_of(form))


@workshop
@require_POST
def card_close(request: HttpRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    is_nothing = request.POST.get("with") == "nothing-wrong"
    close = cards.close_with_nothing_wrong if is_nothing else cards.close_with_causes
    return _pressed(request, visit, lambda: close(visit, by=request.user))


def _pressed(request: HttpRequest, visit: Visit, change: Callable[[], object]) -> HttpResponse:
    """A button of the card: back to the card, or the card with the sentence why not."""
    try:
        change()
    except Refused as refused:
        return _card(request, visit, trouble=refused.sentence)
    return redirect("card", number=visit.number)


def _card(
    request: HttpRequest, visit: Visit, *, failed: forms.CardForm | None = None, trouble: str = ""
) -> HttpResponse:
    status = status_of(failed) if failed else 409 if trouble else 200
    return render(request, "jobs/card.html", card_values(request, visit, failed=failed, trouble=trouble), status=status)


def card_values(
    request: HttpRequest, visit: Visit, *, failed: forms.CardForm | None = None, trouble: str = ""
) -> dict[str, object]:
    """What the card is drawn from, whole or its part of the bench alone."""
    return {
        "page": card_page(visit, person=request.user),
        "adds": [_form(name, failed) for name in LINES],
        "cause_forms": [_form(name, failed) for name in CAUSES],
        "trouble": trouble,
        "came": of_card(visit),
    }


def _form(name: str, failed: forms.CardForm | None) -> forms.CardForm:
    return failed if failed and failed.name == name else ADDS[name][0]()
