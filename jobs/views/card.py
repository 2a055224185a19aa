"""The job card: its page, entries, clock, causes and closing."""

from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.models.visits import Visit
from garage.output.addresses import card_address
from garage.output.pdf import pdf
from garage.output.qr import qr_svg
from garage.pages.roller_caution import caution_now
from garage.reads.access import visit_for
from garage.views.answers import Unusable, carried_out, posted, pressed, say_on, status_of
from garage.views.doors import boss, workshop
from garage.views.requests import WorkshopRequest
from jobs.changes import cards, closing, labour, part_orders
from jobs.models.cards import CardLine
from jobs.pages.came_back import of_card
from jobs.pages.card import CardPage, card_page
from jobs.pages.returning import returning_shown
from jobs.pages.runs import curve_on_paper
from jobs.reads import access
from jobs.reads.access import running_clocks
from jobs.views import forms
from jobs.views.forms_service import ServiceForm
from jobs.views.sent import taken_in

Add = tuple[type[forms.CardForm], Callable[..., object]]  # each form, and the change it calls

WRITES: dict[type[forms.CardLineForm], Callable[..., object]] = {
    forms.NoteForm: lambda **given: cards.note(what=CardLine.NOTE, **given),
    forms.PartForm: lambda **given: _part(**given),
    forms.ReadingForm: cards.reading,
    forms.JetForm: cards.change_of_jet,
    forms.RideForm: cards.test_ride,
    forms.WorkForm: lambda **given: cards.note(what=CardLine.WORK, **given),
}
OWN_CLOCK = 0  # instead of a clock's id: the page's own start may still wait for the signal
CAUSES: dict[str, Add] = {"cause": (forms.CauseForm, cards.found_cause), "good": (forms.GoodForm, cards.looked_good)}
AT_THE_TAP = (forms.NoteForm, forms.WorkForm)  # what has waited counts from then; the rest from when it arrives
NOTHING_FILLED = Unusable("Nothing is filled in yet: write a note, or open part, reading, jet, test ride or work done.")


@workshop
@require_safe
def card(request: WorkshopRequest, number: int) -> HttpResponse:
    return _card(request, visit_for(request.user, number))


@workshop
@require_safe
def card_pdf(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    page = card_page(visit, now=request.now)
    drawn = {"code": qr_svg(card_address(number)), "curve": curve_on_paper(page.shown)}
    paper = pdf(render_to_string("papers/card.html", {"page": page, "shop": request.shop} | drawn))
    headers = {"Content-Disposition": f'inline; filename="card-{visit.number}.pdf"'}
    return HttpResponse(paper, content_type="application/pdf", headers=headers)


@workshop
@require_POST
def card_write(request: WorkshopRequest, number: int) -> HttpResponse:
    """Writes all lines that were filled in, or none of them, and each form says what is wrong with it."""
    visit, lines = visit_for(request.user, number), [form_class(request.POST) for form_class in forms.CARD_LINES]
    filled = [form for form in lines if form.is_filled]
    if not filled:
        say_on(lines[0], NOTHING_FILLED)
    elif all(form.is_valid() for form in filled) and _written(request, visit, filled):
        return _back(number, "hand")
    return _card(request, visit, lines=lines)


def _part(*, is_ordered: bool, supplier: str, **given: Any) -> object:
    return part_orders.order(supplier=supplier, **given) if is_ordered else cards.part(**given)


class _NotWritten(Exception):
    """Each form says why. Nothing stays of what was to be written, nor the key that came with it."""


def _written(request: WorkshopRequest, visit: Visit, filled: Sequence[forms.CardLineForm]) -> bool:
    def write(form: forms.CardLineForm, at: datetime) -> object:
        now = at if isinstance(form, AT_THE_TAP) else request.now
        return carried_out(
            form, partial(WRITES[type(form)], visit=visit, by=request.user, now=now, **form.cleaned_data)
        )

    def write_all(at: datetime) -> None:
        if not cards.all_written(partial(write, form, at) for form in filled):
            raise _NotWritten

    try:
        return carried_out(filled[0], taken_in(request, visit, write_all)) is not None
    except _NotWritten:
        return False


@workshop
@require_POST
def card_add(request: WorkshopRequest, number: int, what: str) -> HttpResponse:
    """A cause, or what was checked and is OK."""
    visit = visit_for(request.user, number)
    if what not in CAUSES:
        raise Http404
    form_class, change = CAUSES[what]
    form = form_class(request.POST)
    if carried_out(form, lambda: change(visit=visit, by=request.user, now=request.now, **form.cleaned_data)):
        return _back(number, "bench")
    return _card(request, visit, failed=form)


@workshop
@require_POST
def card_line_strike(request: WorkshopRequest, number: int, line_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    line = access.line_of(visit, line_id)
    return _pressed(request, visit, lambda: cards.strike(line, by=request.user, now=request.now), at="lines")


@workshop
@require_POST
def card_labour_start(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return _pressed(request, visit, taken_in(request, visit, lambda at: labour.start(visit, by=request.user, now=at)))


@workshop
@require_POST
def card_labour_stop(request: WorkshopRequest, number: int, labour_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    if labour_id == OWN_CLOCK:
        change = partial(labour.stop_own, visit, by=request.user)
    else:
        change = partial(labour.stop, access.labour_of(visit, labour_id), by=request.user)
    return _pressed(request, visit, taken_in(request, visit, lambda at: change(now=at)))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def card_labour_right(request: WorkshopRequest, number: int, labour_id: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    clock = access.labour_of(visit, labour_id)
    form = forms.MinutesForm(posted(request))
    if carried_out(form, lambda: labour.put_right(clock, by=request.user, now=request.now, **form.cleaned_data)):
        return _back(number, "labour")
    values = {"visit": visit, "clock": clock, "form": form}
    return render(request, "jobs/card_labour_right.html", values, status=status_of(form))


@workshop
@require_POST
def card_close(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    returning = returning_shown(visit, access.card_of(visit))
    last_time = returning.says if returning else ""
    form = forms.CloseForm(request.POST, clocks=running_clocks(visit), last_time=last_time, now=request.now)
    is_nothing = request.POST.get("with") == "nothing-wrong"
    close = closing.close_with_nothing_wrong if is_nothing else closing.close_with_causes

    def closed() -> object:
        worked_min, again = form.worked_min, form.was_it_again
        return close(visit, worked_min=worked_min, was_it_again=again, by=request.user, now=request.now)

    done = carried_out(form, closed)
    return redirect("card", number=number) if done else _card(request, visit, failed=form)


@boss
@require_POST
def card_reopen(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    form = forms.ReopenForm(request.POST)
    if carried_out(form, lambda: closing.reopen(visit, by=request.user, now=request.now, **form.cleaned_data)):
        return redirect("card", number=number)
    return _card(request, visit, failed=form)


def _back(number: int, at: str) -> HttpResponse:
    """To the card, at what was tapped."""
    return redirect(f"{reverse('card', args=[number])}#{at}")


def _pressed(request: WorkshopRequest, visit: Visit, change: Callable[[], object], *, at: str = "hand") -> HttpResponse:
    return pressed(request, change, then=_back(visit.number, at))


def _card(
    request: WorkshopRequest,
    visit: Visit,
    *,
    failed: forms.CardForm | None = None,
    lines: Sequence[forms.CardLineForm] = (),
) -> HttpResponse:
    values = card_values(request, visit, failed=failed, lines=lines)
    return render(request, "jobs/card.html", values, status=max(map(status_of, [failed, *lines])))


def card_values(
    request: WorkshopRequest,
    visit: Visit,
    *,
    failed: forms.CardForm | None = None,
    lines: Sequence[forms.CardLineForm] = (),
    trouble: str = "",
) -> dict[str, object]:
    """The template values for the whole card or its bench part alone. trouble: an error shown in the bench part.

    lines: what was filled in to be written on the card.
    """
    page = card_page(visit, person=request.user, shop=request.shop, now=request.now)
    note, *adds = lines or [form_class() for form_class in forms.CARD_LINES]
    return {
        "page": page,
        "caution": caution_now(page.step if page.stations else None, request.shop, now=request.now),
        "note": note,
        "adds": adds,
        "cause_forms": [_cause_form(name, failed) for name in CAUSES],
        "trouble": trouble,
        "came": of_card(visit, page.causes),
        "close_form": _closing_form(request, page, failed),
        "service_form": failed if isinstance(failed, ServiceForm) else ServiceForm(),
        "reopen_form": failed if isinstance(failed, forms.ReopenForm) else forms.ReopenForm(),
    }


def _closing_form(request: WorkshopRequest, page: CardPage, failed: forms.CardForm | None) -> forms.CardForm:
    if isinstance(failed, forms.CloseForm):
        return failed
    clocks = [clock.labour for clock in page.clocks if clock.is_running]
    return forms.CloseForm(clocks=clocks, last_time=page.returning.says if page.returning else "", now=request.now)


def _cause_form(name: str, failed: forms.CardForm | None) -> forms.CardForm:
    return failed if failed and failed.name == name else CAUSES[name][0]()
