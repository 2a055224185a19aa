from datetime import timedelta

import pytest
from django.utils import timezone

from diagnostics.hearing.changes import left_overs
from diagnostics.hearing.models.clips import Clip
from garage.models.actors import SYSTEM
from tests.factories import garage
from tests.factories.diagnostics import heard_clip
from tests.sentences import check_noted

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_a_clip_that_cannot_be_heard_goes_a_day_after_it_was_tried_and_no_other():
    garage.shop()
    visit, now = garage.visit(), timezone.now()
    heard, judged, unheard = heard_clip(visit), heard_clip(visit), heard_clip(visit)
    Clip.objects.filter(pk__in=[judged.pk, unheard.pk]).update(
        state=Clip.NOT_HEARD, result=None, trouble="noise", begun_at=now, at=now - timedelta(days=9)
    )
    Clip.objects.filter(pk=judged.pk).update(own_verdict="revs-out", own_by=garage.boss(), own_at=now)
    assert left_overs.forget_unheard(now + left_overs.UNHEARD_KEPT) == 0
    later = now + left_overs.UNHEARD_KEPT + timedelta(seconds=1)
    assert left_overs.forget_unheard(later) == 1
    assert set(Clip.objects.all()) == {heard, judged}
    check_noted(f"clip deleted: {unheard.name}", by=SYSTEM, at=later, visit=visit)
