"""The doors to the rows of a visit's diagnosis: what belongs to another visit is not there."""

import pytest
from django.http import Http404
from django.utils import timezone

from diagnostics.models.causes import Cause
from diagnostics.reads import access
from diagnostics.reads.judgement import latest
from tests.factories import garage
from tests.factories.diagnostics import answered, gate_over

pytestmark = pytest.mark.django_db


def test_a_judgement_is_found_by_its_own_visit_only():
    garage.shop()
    visit, other = answered(garage.visit(), {"trouble": "cuts-out"}), garage.visit()
    kept = latest(visit)
    assert access.judgement_of(visit, kept.pk) == kept
    with pytest.raises(Http404):
        access.judgement_of(other, kept.pk)


def test_a_cause_is_found_by_its_own_visit_only():
    visit, other = garage.visit(), garage.visit()
    cause = Cause.objects.create(visit=visit, words="spark plug", at=timezone.now(), by=garage.person())
    assert access.cause_of(visit, cause.pk) == cause
    with pytest.raises(Http404):
        access.cause_of(other, cause.pk)


def test_a_picture_is_drawn_of_readings_only():
    read = gate_over(strobe_readings=[[1400.0, 17.0], [9000.0, 16.5]], strobe_verdict="in-spec")
    unread = gate_over(strobe_not_seen="cover")
    assert access.gate_with_readings_or_404(read.pk) == read
    for pk in (unread.pk, 999):
        with pytest.raises(Http404):
            access.gate_with_readings_or_404(pk)
