"""What we learned: how right the judgements were, what they saved, what the closed cards taught."""

from __future__ import annotations

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from diagnostics.core.learning.scores import SPOILT, SUBJECTS
from diagnostics.pages.learned import bands_of, fault_lines, learned_page
from diagnostics.pages.past_weeks import past_weeks
from diagnostics.pages.pictures.learned import calibration_chart, faults_chart
from garage.output.pictures import CONTENT_TYPE
from garage.reads.freed import freed_minutes
from garage.views.doors import workshop
from garage.views.requests import WorkshopRequest


@workshop
@require_safe
def learned(request: WorkshopRequest) -> HttpResponse:
    subject = _subject(request.GET.get("of", SPOILT))
    values = {"page": learned_page(subject, request.shop), "freed": freed_minutes(now=request.now)}
    return render(request, "diagnostics/learned.html", values)


@workshop
@require_safe
def learned_weeks(request: WorkshopRequest) -> HttpResponse:
    return render(request, "diagnostics/learned_weeks.html", {"page": past_weeks(request.shop, now=request.now)})


@workshop
@require_safe
def learned_bands(request: WorkshopRequest, subject: str) -> HttpResponse:
    return HttpResponse(calibration_chart(bands_of(_subject(subject), request.shop)), content_type=CONTENT_TYPE)


@workshop
@require_safe
def learned_faults(request: WorkshopRequest) -> HttpResponse:
    rows = [(line.short, line.observed.seen) for line in fault_lines(request.shop) if line.observed]
    return HttpResponse(faults_chart(rows), content_type=CONTENT_TYPE)


def _subject(asked: str) -> str:
    if asked not in SUBJECTS:
        raise Http404
    return asked
