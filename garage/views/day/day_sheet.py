"""The day sheet as a drawing, as a list and on A4, with the buttons of its steps: begin, pause, late, end."""

from collections.abc import Callable

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.template.loader import render_to_string
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe
from django.views.decorators.vary import vary_on_headers

from garage.changes.day import plans, steps, under_way
from garage.core.planning.standing.standing_plan import SeenPlan
from garage.core.text.typed_number import typed_number
from garage.output.pdf import pdf
from garage.pages.day_sheet import day_page
from garage.reads import access
from garage.views.answers import pressed
from garage.views.day.by_hand import day_asked, hand_forms
from garage.views.day.forms import BeginForm, RunsLateForm
from garage.views.day.moved import saying_what_moves
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
@vary_on_headers("HX-Request")
def day_sheet(request: WorkshopRequest, day: str = "") -> HttpResponse:
    page = day_page(day_asked(request, day), request.shop, now=request.now)
    if request.htmx:
        return render(request, "garage/day_sheet.html#day-list", {"page": page})
    return render(request, "garage/day_sheet.html", {"page": page, "hand": hand_forms(request, page)})


@workshop
@require_safe
def day_sheet_pdf(request: WorkshopRequest, day: str) -> HttpResponse:
    page = day_page(day_asked(request, day), request.shop, now=request.now)
    paper = pdf(render_to_string("papers/day_sheet.html", {"page": page}, request))
    name = f"day-sheet-{page.day:%Y-%m-%d}.pdf"
    return HttpResponse(
        paper, content_type="application/pdf", headers={"Content-Disposition": f'inline; filename="{name}"'}
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def plan_accept(request: WorkshopRequest, day: str) -> HttpResponse:
    """The proposal that stood beside the button, or the changes that it makes."""
    local_day, sent = day_asked(request, day), request.POST.get("plan", "")
    return pressed(
        request,
        lambda: plans.accept(local_day, seen=SeenPlan.read(sent), by=request.user, now=request.now),
        then=redirect(f"{reverse('day-sheet-on', args=[day])}#plan"),
        said="From now on this is what people work to.",
        fragment=_list_alone(request),
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def step_begin(request: WorkshopRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    form = BeginForm(request.POST, at=step.at)
    return _tapped(
        request, lambda: steps.begin(step, by=request.user, now=request.now, **form.sent()), at=f"step-{step.pk}"
    )


@workshop
@require_POST
@vary_on_headers("HX-Request")
def step_end(request: WorkshopRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    return _tapped(request, lambda: steps.end(step, by=request.user, now=request.now), at="next")


@workshop
@require_POST
@vary_on_headers("HX-Request")
def step_pause(request: WorkshopRequest, step_id: int) -> HttpResponse:
    step = access.step_or_404(step_id)
    return _tapped(request, lambda: under_way.pause(step, by=request.user, now=request.now), at="next")


@workshop
@require_POST
@vary_on_headers("HX-Request")
def step_late(request: WorkshopRequest, step_id: int) -> HttpResponse:
    step, form = access.step_or_404(step_id), RunsLateForm(request.POST)
    return _tapped(
        request,
        lambda: under_way.runs_late(step, by=request.user, now=request.now, **form.sent()),
        at=f"step-{step.pk}",
    )


def _tapped(request: WorkshopRequest, change: Callable[[], object], *, at: str) -> HttpResponse:
    """One tap of the day's work. The sheet comes back with the proposal for the rest of the day; a card or a visit is
    told what has moved.
    """
    fragment = _list_alone(request)
    if fragment is None:
        change = saying_what_moves(request, change)
    return pressed(request, change, then=_back(request, at=at), fragment=fragment)


def _list_alone(request: WorkshopRequest) -> Callable[[str], HttpResponse] | None:
    """The day's list for htmx, which leaves the rest of the sheet as it is. None if the button is on a card or a visit:
    those pick their part out of the page they are sent to.
    """
    if "card" in request.POST or "visit" in request.POST:
        return None

    def fragment(trouble: str) -> HttpResponse:
        page = day_page(day_asked(request, request.POST.get("day", "")), request.shop, now=request.now)
        return render(request, "garage/day_sheet.html#day-list", {"page": page, "trouble": trouble})

    return fragment


def _back(request: WorkshopRequest, *, at: str) -> HttpResponse:
    """To the page with the button: a card, a visit or a day. at: what was tapped on the day sheet."""
    for page, place in (("card", "hand"), ("visit", "work")):
        number = typed_number(request.POST.get(page, ""))
        if number is not None:
            return redirect(f"{reverse(page, args=[number])}#{place}")
    day = request.POST.get("day", "")
    sheet = reverse("day-sheet-on", args=[day_asked(request, day).isoformat()]) if day else reverse("day-sheet")
    return redirect(f"{sheet}#{at}")
