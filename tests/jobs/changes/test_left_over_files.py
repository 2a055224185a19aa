from datetime import timedelta
from pathlib import Path

import pytest
from django.core.files.base import ContentFile
from django.utils import timezone

from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.tasks import forget_all_sounds
from garage.changes.left_over_files import LEFT_FOR, forget_files
from garage.models.visits import Photo
from garage.tasks import forget_files_of_no_photo
from jobs.models.book import Paper
from jobs.tasks import forget_files_of_no_paper
from tests.factories import garage
from tests.factories.diagnostics import heard_clip

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _media(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def photo(visit):
    row = Photo(visit=visit, taken_for="card", at=timezone.now(), by=garage.person())
    row.file.save("a.jpg", ContentFile(b"x"), save=True)
    return row


@pytest.mark.parametrize(("make", "sweep"), [(heard_clip, forget_all_sounds), (photo, forget_files_of_no_photo)])
def test_a_file_whose_row_is_gone_is_deleted_after_a_while_and_no_other(make, sweep):
    garage.shop()
    kept, gone = make(garage.visit()), make(garage.visit())
    path, now = Path(gone.file.path), timezone.now()
    type(gone).objects.filter(pk=gone.pk).delete()  # and then the machine was switched off
    assert sweep(now) == 0
    assert path.exists()
    assert sweep(now + LEFT_FOR + timedelta(seconds=5)) == 1
    assert not path.exists()
    assert Path(kept.file.path).exists()


def test_a_paper_that_no_invoice_has_is_deleted(tmp_path):
    (tmp_path / "invoices" / "2030").mkdir(parents=True)
    lost = tmp_path / "invoices" / "2030" / "invoice-7.pdf"
    lost.write_bytes(b"%PDF")
    assert forget_files_of_no_paper(timezone.now() + timedelta(days=1)) == 1
    assert not lost.exists()


def test_where_there_are_none_there_is_nothing_to_forget():
    for model, folder in ((Clip, "clips"), (Photo, "photos"), (Paper, "invoices")):
        assert forget_files(model, folder=folder, now=timezone.now()) == 0
