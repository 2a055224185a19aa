"""Roller runs of a visit: the curves, a new file, what its columns are; and the garage's rollers."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from garage.models.visits import Visit
from garage.output.pictures import CONTENT_TYPE
from garage.reads.access import visit_for
from garage.views.answers import carried_out, posted, pressed, status_of
from garage.views.doors import boss, workshop
from garage.views.requests import WorkshopRequest, today
from jobs.changes import runs
from jobs.core.runs.logger.file_text import check_size
from jobs.models.runs import RollersSetUp, RunFile
from jobs.pages.run_first_values import run_first_values
from jobs.pages.run_picture import ON_PAGE, ON_WALL, PictureForm
from jobs.pages.runs import file_page, runs_page, shown_runs
from jobs.reads.runs import content_of, is_a_run, rollers_set_up, run_file_of, run_of
from jobs.views.forms_runs import RollersForm, RunFileForm, RunForm


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def visit_runs(request: WorkshopRequest, number: int) -> HttpResponse:
    visit, form = visit_for(request.user, number), RunFileForm(posted(request), request.FILES or None)

    def send() -> RunFile:
        """Nothing of a file that is too large is read."""
        sent = form.cleaned_data["file"]
        check_size(sent.size)
        return runs.send(visit, name=sent.name, content=sent.read(), by=request.user, now=request.now)

    if kept := carried_out(form, send):
        return redirect("run-file", number=number, file_id=kept.made.pk)
    values = {"page": runs_page(visit), "form": form}
    return render(request, "jobs/visit_runs.html", values, status=status_of(form))


@workshop
@require_http_methods(["GET", "HEAD", "POST"])
def run_file(request: WorkshopRequest, number: int, file_id: int) -> HttpResponse:
    """What the columns of a file are, then it is a run. A second press leads on to it."""
    file = run_file_of(visit_for(request.user, number), file_id)
    if is_a_run(file):
        return redirect("visit-runs", number=number)
    page = file_page(file)
    form = RunForm(posted(request), page, run_first_values(file.visit, day=today(request)))
    if carried_out(form, lambda: runs.take(file, form.said(), by=request.user, now=request.now)):
        return redirect("visit-runs", number=number)
    return render(request, "jobs/run_file.html", {"page": page, "form": form}, status=status_of(form))


@workshop
@require_safe
def visit_runs_picture(request: WorkshopRequest, number: int) -> HttpResponse:
    return picture_answer(visit_for(request.user, number), ON_PAGE)


def picture_answer(visit: Visit, form: PictureForm) -> HttpResponse:
    picture = shown_runs(visit).picture
    if picture is None:
        raise Http404
    return HttpResponse(picture.svg(form), content_type=CONTENT_TYPE)


@workshop
@require_safe
def visit_runs_wall(request: WorkshopRequest, number: int) -> HttpResponse:
    """Large, for a screen beside the rollers: machine and number, no names."""
    visit = visit_for(request.user, number)
    return render(request, "jobs/visit_runs_wall.html", {"visit": visit, "shown": shown_runs(visit)})


@workshop
@require_safe
def visit_runs_wall_picture(request: WorkshopRequest, number: int) -> HttpResponse:
    return picture_answer(visit_for(request.user, number), ON_WALL)


@workshop
@require_safe
def run_csv(request: WorkshopRequest, number: int, run_id: int) -> HttpResponse:
    """The file as the logger wrote it, to the last byte."""
    run = run_of(visit_for(request.user, number), run_id)
    headers = {"Content-Disposition": f'attachment; filename="visit-{number}-run-{run.letter}.csv"'}
    return HttpResponse(content_of(run.file), content_type="text/csv", headers=headers)


@workshop
@require_POST
def run_strike(request: WorkshopRequest, number: int, run_id: int) -> HttpResponse:
    run = run_of(visit_for(request.user, number), run_id)
    return pressed(
        request,
        lambda: runs.strike(run, by=request.user, now=request.now),
        then=redirect("visit-runs", number=number),
        said=f"Run {run.letter} is struck out.",
    )


@boss
@require_http_methods(["GET", "HEAD", "POST"])
def shop_rollers(request: WorkshopRequest) -> HttpResponse:
    form = RollersForm(posted(request), initial=_set_up(rollers_set_up()))

    def set_up() -> None:
        runs.set_up_rollers(form.rollers(), **form.units(), by=request.user, now=request.now)

    if carried_out(form, set_up):
        messages.success(request, "Saved.")
        return redirect("shop-rollers")
    return render(request, "jobs/shop_rollers.html", {"form": form}, status=status_of(form))


def _set_up(row: RollersSetUp) -> dict[str, object]:
    return {
        "inertia": row.inertia_kg_m2,
        "diameter": row.diameter_mm,
        "standard": row.standard,
        "power_unit": row.power_unit,
        "torque_unit": row.torque_unit,
    }
