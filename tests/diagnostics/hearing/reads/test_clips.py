from datetime import timedelta

import pytest
from django.http import Http404
from django.utils import timezone

from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.pages.owner_clip import owner_clips, said_to_the_owner
from diagnostics.hearing.reads.clips import clip_by_link, clip_for, clips_before
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


def test_who_waits_is_told_how_many_are_heard_first(visit):
    at = timezone.now()
    oldest, second, third = heard_clip(visit), *(heard_clip(garage.visit()) for _ in range(2))
    for late_s, clip in enumerate((oldest, second, third)):
        Clip.objects.filter(pk=clip.pk).update(state=Clip.WAITS, at=at + timedelta(seconds=late_s), result=None)
        clip.refresh_from_db()
    heard_clip(garage.visit())
    assert [clips_before(clip) for clip in (oldest, second, third)] == [0, 1, 2]
    assert [said_to_the_owner(clip).partition("here. ")[2] for clip in (oldest, second, third)] == [
        "We’ll start on it in a moment.",
        "One other is heard before it.",
        "2 others are heard before it.",
    ]
