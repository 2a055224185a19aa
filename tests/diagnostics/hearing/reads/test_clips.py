import pytest
from django.http import Http404
from django.utils import timezone

from diagnostics.hearing.pages.owner_clip import owner_clips
from diagnostics.hearing.reads.clips import clip_by_link, clip_for
from tests.factories import garage
from tests.factories.diagnostics import heard_clip

pytestmark = pytest.mark.django_db


def test_the_owners_door_opens_to_own_clips_of_that_visit_only(visit):
    mechanic = garage.person()
    own, ours = heard_clip(visit), heard_clip(visit, by=mechanic)
    other = heard_clip(garage.visit())
    assert clip_by_link(visit, own.pk) == own
    for hidden in (ours, other):
        with pytest.raises(Http404):
            clip_by_link(visit, hidden.pk)
    assert [state.clip for state in owner_clips(visit, now=timezone.now())] == [own]
    assert clip_for(mechanic, visit.number, ours.pk) == ours
    with pytest.raises(Http404):
        clip_for(mechanic, visit.number, other.pk)
