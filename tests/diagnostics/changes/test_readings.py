from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.changes import findings, judgements, readings
from diagnostics.core.readings import read_reading
from diagnostics.models.judgements import KeptJudgement
from diagnostics.models.sheets import Finding
from diagnostics.reads.case import standing
from diagnostics.reads.judgement import latest
from diagnostics.reads.readings import read_before
from garage.core.errors import Refused
from tests.factories import garage, jobs

pytestmark = pytest.mark.django_db


def test_a_strobe_reading_is_a_finding_of_the_workshop_and_the_visit_is_judged() -> None:
    visit, by = jobs.visit_here(), garage.person()
    row = readings.record(visit, read_reading("strobe_idle", "22", "", 1200), by=by, now=timezone.now())
    assert row.words == "22 degrees BTDC at 1200 rpm"
    found = standing(visit)["strobe_idle"]
    assert (found.answer, found.source, found.by) == (22.0, Finding.WORKSHOP, by)
    assert KeptJudgement.objects.get(visit=visit).case["answers"] == {"strobe_idle": 22.0}


def test_what_the_gauge_reads_answers_how_strong_the_compression_is_and_the_visit_is_judged() -> None:
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    findings.record(visit, question="kick", answer="strong", source=Finding.OWNER, by=by, now=now)
    alone = judgements.judge_again(visit, now=now).judgement.chances["low-compression"]
    low = readings.record(visit, read_reading("compression", "72", "psi", None), by=by, now=now + timedelta(minutes=1))
    found = standing(visit)["kick"]
    assert (low.words, found.answer, found.source) == ("72 psi", "weak", Finding.WORKSHOP)
    assert latest(visit).judgement.chances["low-compression"] > 5 * alone
    readings.withdraw(low, by=by, now=now + timedelta(minutes=2))
    assert standing(visit)["kick"].answer == "strong"


def test_the_gate_is_given_the_newer_of_gauge_and_leak_down() -> None:
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    readings.record(visit, read_reading("compression", "8.5", "bar", None), by=by, now=now)
    later = readings.record(visit, read_reading("leak_down", "12", "", None), by=by, now=now + timedelta(minutes=1))
    assert later.words == "12 %"
    assert read_before(visit) == ((), (12.0, "%"))
    assert {question: found.answer for question, found in standing(visit).items()} == {"kick": "strong"}
    readings.withdraw(later, by=by, now=now + timedelta(minutes=2))
    assert read_before(visit) == ((), (8.5, "bar"))


def test_a_reading_withdrawn_gives_its_place_to_the_one_before_and_then_to_the_owners_answer() -> None:
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    findings.record(visit, question="strobe_idle", answer=20, source=Finding.OWNER, by=by, now=now)
    taken = [
        readings.record(visit, read_reading("strobe_idle", typed, "", 1200), by=by, now=now + timedelta(minutes=minute))
        for minute, typed in ((1, "22"), (2, "25"))
    ]
    readings.withdraw(taken[1], by=by, now=now + timedelta(minutes=3))
    assert standing(visit)["strobe_idle"].answer == 22.0
    readings.withdraw(taken[0], by=by, now=now + timedelta(minutes=4))
    assert standing(visit)["strobe_idle"].answer == 20.0
    with pytest.raises(Refused, match="already withdrawn"):
        readings.withdraw(taken[0], by=by, now=now + timedelta(minutes=5))


def test_an_older_reading_is_withdrawn_without_touching_what_counts_now() -> None:
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    first = readings.record(visit, read_reading("strobe_idle", "22", "", 1200), by=by, now=now)
    later = now + timedelta(minutes=1)
    readings.record(visit, read_reading("strobe_idle", "25", "", 1200), by=by, now=later)
    readings.withdraw(first, by=by, now=later)
    assert standing(visit)["strobe_idle"].answer == 25.0


def test_a_single_reading_withdrawn_leaves_the_question_untried() -> None:
    visit, by, now = jobs.visit_here(), garage.person(), timezone.now()
    row = readings.record(visit, read_reading("strobe_peak", "22", "", 8000), by=by, now=now)
    readings.withdraw(row, by=by, now=now)
    assert standing(visit)["strobe_peak"].answer == Finding.NOT_TRIED
