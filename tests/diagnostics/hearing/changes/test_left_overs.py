from datetime import timedelta
from pathlib import Path

import pytest
from django.utils import timezone

from diagnostics.hearing.changes import left_overs
from diagnostics.hearing.models.clips import Clip
from tests.factories import garage
from tests.factories.diagnostics import heard_clip

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_a_sound_whose_clip_is_gone_is_deleted_after_a_while_and_no_other():
    garage.shop()
    kept, gone = heard_clip(garage.visit()), heard_clip(garage.visit())
    path, now = Path(gone.file.path), timezone.now()
    Clip.objects.filter(pk=gone.pk).delete()  # and then the machine was switched off
    assert left_overs.forget_sounds(now) == 0
    assert path.exists()
    assert left_overs.forget_sounds(now + left_overs.LEFT_FOR + timedelta(seconds=5)) == 1
    assert not path.exists()
    assert Path(kept.file.path).exists()


def test_without_any_clip_there_is_nothing_to_forget():
    assert left_overs.forget_sounds(timezone.now()) == 0
