"""The gate on a phone: begun, answered line by line, its two parts ended, or overridden by name."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers
from django_htmx.http import retarget

from diagnostics.changes import gate_answers, gates
from diagnostics.core.gate_list import DECIDE_ON_RUNNING, Item, line_called
from diagnostics.models.gates import Gate
from diagnostics.pages.gate import gate_page
from diagnostics.pages.gate_parts import GateLine, GatePart
from diagnostics.reads.gates import last_gate_of, open_gate_of
from diagnostics.views.forms_gate import LineForm, OverrideForm, RollerForm
from diagnostics.views.forms_timing import DegreesForm, HeightsForm
from garage.core.errors import Refused
from garage.models.visits import Visit
from garage.pages.roller_caution import caution_now
from garage.reads.access import visit_for
from garage.views.answers import carried_out, pressed, sentence_of, status_of
from garage.views.day.moved import saying_what_moves
from garage.views.doors import boss, workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def gate(request: WorkshopRequest, number: int) -> HttpResponse:
    return _page(request, visit_for(request.user, number))


@workshop
@require_POST
def gate_begin(request: WorkshopRequest, number: int) -> HttpResponse:
    visit = visit_for(request.user, number)
    return pressed(
        request, lambda: gates.begin(visit, by=request.user, now=request.now), then=redirect("gate", number=number)
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def gate_answer(request: WorkshopRequest, number: int, line: str) -> HttpResponse:
    """One line, saved as it is answered. htmx gets the line in its place, and what it changes elsewhere."""
    visit, form = visit_for(request.user, number), LineForm(_line_or_404(line), request.POST, by=request.user)
    begun = open_gate_of(visit)
    done = carried_out(
        form, lambda: gate_answers.answer(_there(begun), given=form.given(), by=request.user, now=request.now)
    )
    if request.htmx:
        return _answered(request, visit, form)
    return redirect(f"{reverse('gate', args=[number])}#gate-left") if done else _page(request, visit, form)


@workshop
@require_POST
def gate_bench_end(request: WorkshopRequest, number: int) -> HttpResponse:
    return _pressed(request, number, gates.end_at_the_bench)


@workshop
@require_POST
def gate_bench_again(request: WorkshopRequest, number: int) -> HttpResponse:
    return _pressed(request, number, gates.do_the_bench_again)


@workshop
@require_POST
def gate_on(request: WorkshopRequest, number: int) -> HttpResponse:
    form = RollerForm(request.POST)
    return _pressed(request, number, lambda gate, **who: gates.put_on_the_rollers(gate, **form.sent(), **who))


@workshop
@require_POST
def gate_off(request: WorkshopRequest, number: int) -> HttpResponse:
    return _pressed(request, number, gates.take_off_the_rollers)


@workshop
@require_POST
def gate_end(request: WorkshopRequest, number: int) -> HttpResponse:
    return _pressed(request, number, gates.end_strapped_down)


@boss
@require_POST
def gate_override(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), OverrideForm(request.POST)
    last = last_gate_of(visit)
    if carried_out(form, lambda: gates.override(_there(last), by=request.user, now=request.now, **form.cleaned_data)):
        messages.success(request, f"Visit {number} may go on the rollers, by {request.user.name}'s word.")
        return redirect("gate", number=number)
    return _page(request, visit, override=form)


def _pressed(request: WorkshopRequest, number: int, change: Callable[..., Gate]) -> HttpResponse:
    begun = open_gate_of(visit_for(request.user, number))
    return pressed(
        request,
        saying_what_moves(request, lambda: change(_there(begun), by=request.user, now=request.now)),
        then=redirect("gate", number=number),
    )


def _line_or_404(line_id: str) -> Item:
    if (line := line_called(line_id)) is None:
        raise Http404
    return line


def _there(found: Gate | None) -> Gate:
    if found is None:
        raise Refused("The gate of this visit has not been begun, or is already over: begin it first.")
    return found


def _answered(request: WorkshopRequest, visit: Visit, form: LineForm) -> HttpResponse:
    """The line that was answered, what is left, and the lines with the engine running where the answer decides on them:
    all of those in place of the line if it is one of them.
    """
    page = gate_page(visit, seen_by=request.user)
    lines = {line.item.id: line for line in page.part.lines} if page.part else {}
    decides = form.is_valid() and page.part is not None and form.line.id in DECIDE_ON_RUNNING
    shown = {
        "page": page,
        "line": LineShown(lines.get(form.line.id) or GateLine(form.line, "", "", None, None), form, is_fresh=True),
        "running": _lines(request, page.part, page.part.running, form) if page.part and decides else None,
        "is_whole": decides and form.line.runs_engine,
    }
    answer = render(request, "diagnostics/_gate_answered.html", shown, status=status_of(form))
    return retarget(answer, "#gate-running") if shown["is_whole"] else answer


def _page(
    request: WorkshopRequest, visit: Visit, form: LineForm | None = None, *, override: OverrideForm | None = None
) -> HttpResponse:
    """With everything that was filled in; an error about a line that is not shown stands at the top."""
    page = gate_page(visit, seen_by=request.user)
    part = page.part
    shown_lines = [line.item for line in (*part.standing, *part.running)] if part else []
    is_on_its_line = form is not None and form.line in shown_lines
    shown = {
        "page": page,
        "caution": caution_now(page.session, request.shop, now=request.now),
        "standing": _lines(request, part, part.standing, form) if part else (),
        "running": _lines(request, part, part.running, form) if part else (),
        "trouble": sentence_of(override) if override else "" if is_on_its_line else sentence_of(form),
        "override_form": override or OverrideForm(),
        "heights_form": HeightsForm(),
        "degrees_form": DegreesForm(engine=page.degrees.engine),
    }
    return render(request, "diagnostics/gate.html", shown, status=status_of(override or form))


@dataclass(frozen=True)
class LineShown:
    """is_fresh: just answered, so that the focus goes there."""

    line: GateLine
    form: LineForm
    is_fresh: bool = False

    @property
    def buttons(self) -> list[tuple[str, str]]:
        return [(value, words) for value, words in self.form.buttons if value not in self.line.barred]


def _lines(
    request: WorkshopRequest, part: GatePart, lines: Iterable[GateLine], sent: LineForm | None
) -> list[LineShown]:
    """What else was sent stays where it is: readings typed but not saved yet."""
    return [
        LineShown(line, sent, is_fresh=sent.is_valid())
        if sent and sent.line == line.item
        else LineShown(line, LineForm(line.item, by=request.user, standing=part.sheet, typed=request.POST))
        for line in lines
    ]
