"""Pages of this room: front page and advice, check sheet, findings with their judgement, gate, timing."""

from django.urls import include, path

from diagnostics.views import findings, front, gate, guides, learned, sheet, timing

urlpatterns = [
    path("", include("diagnostics.hearing.views.urls")),  # must come before the questions of a sheet
    path("", front.front, name="front"),
    path("guides/", guides.guides, name="guides"),
    path("guides/<slug:slug>/", guides.guide, name="guide"),
    path("visits/<int:number>/guides/", guides.visit_guides, name="visit-guides"),
    path("visit/<str:token>/guides/", guides.owner_guides, name="owner-guides"),
    path("ask/", front.ask_me, name="ask-me"),
    path("sheet/<str:token>/", sheet.sheet, name="sheet"),
    path("sheet/<str:token>/send/", sheet.sheet_send, name="sheet-send"),
    path("sheet/<str:token>/outcome/", sheet.sheet_outcome, name="sheet-outcome"),
    path("sheet/<str:token>/<str:question>/", sheet.sheet_question, name="sheet-question"),
    path("visits/<int:number>/findings/", findings.findings, name="findings"),
    path("visits/<int:number>/findings/<str:question>/", findings.finding_record, name="finding-record"),
    path("visits/<int:number>/findings/<str:question>/right/", findings.finding_right, name="finding-right"),
    path("visits/<int:number>/findings/<str:question>/not-right/", findings.finding_unright, name="finding-unright"),
    path("visits/<int:number>/remarks/", findings.remark_told, name="remark-told"),
    path("visits/<int:number>/remarks/<slug:remark>/", findings.remark_put_right, name="remark-put-right"),
    path("visits/<int:number>/judgement/<int:judgement_id>/act/", findings.judgement_act, name="judgement-act"),
    path("visits/<int:number>/judgement/<int:judgement_id>/leave/", findings.judgement_leave, name="judgement-leave"),
    path("visits/<int:number>/gate/", gate.gate, name="gate"),
    path("visits/<int:number>/gate/begin/", gate.gate_begin, name="gate-begin"),
    path("visits/<int:number>/gate/answer/<slug:line>/", gate.gate_answer, name="gate-answer"),
    path("visits/<int:number>/gate/bench/end/", gate.gate_bench_end, name="gate-bench-end"),
    path("visits/<int:number>/gate/bench/again/", gate.gate_bench_again, name="gate-bench-again"),
    path("visits/<int:number>/gate/on/", gate.gate_on, name="gate-on"),
    path("visits/<int:number>/gate/off/", gate.gate_off, name="gate-off"),
    path("visits/<int:number>/gate/end/", gate.gate_end, name="gate-end"),
    path("visits/<int:number>/gate/override/", gate.gate_override, name="gate-override"),
    path("visits/<int:number>/gate/packers/", timing.gate_packers, name="gate-packers"),
    path("visits/<int:number>/gate/packers/back/", timing.gate_packers_back, name="gate-packers-back"),
    path("gates/<int:gate_id>/strobe.svg", timing.strobe_picture, name="strobe-picture"),
    path("machines/<int:machine_id>/degrees/", timing.machine_degrees, name="machine-degrees"),
    path("machines/<int:machine_id>/packers/", timing.machine_packers, name="machine-packers"),
    path("what-we-learned/", learned.learned, name="learned"),
    path("what-we-learned/past-weeks/", learned.learned_weeks, name="learned-weeks"),
    path("what-we-learned/faults.svg", learned.learned_faults, name="learned-faults"),
    path("what-we-learned/<slug:subject>.svg", learned.learned_bands, name="learned-bands"),
]
