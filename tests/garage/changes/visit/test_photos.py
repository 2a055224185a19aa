import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from garage.changes.visit import photos
from garage.core.errors import BadInput
from garage.models.visits import Photo
from tests.factories import garage as factory

GPS_TAG, ORIENTATION_TAG = 0x8825, 0x0112  # Exif 2.3, tables 4 and 5


def _photo(width: int = 2400, height: int = 1200, orientation: int = 6) -> SimpleUploadedFile:
    picture, out = Image.new("RGB", (width, height), "grey"), io.BytesIO()
    exif = picture.getexif()
    exif[ORIENTATION_TAG] = orientation  # 6: turned a quarter
    exif.get_ifd(GPS_TAG)[1] = "N"
    picture.save(out, "JPEG", exif=exif)
    return SimpleUploadedFile("photo.jpg", out.getvalue(), content_type="image/jpeg")


def test_a_photo_is_turned_upright_made_smaller_and_loses_its_location() -> None:
    kept = Image.open(io.BytesIO(photos.smaller_and_clean(_photo())))
    assert kept.size == (800, 1600)
    assert not kept.getexif()


@pytest.mark.parametrize(
    "content", [b"", b"not a picture", b"\xff\xd8\xff\xe0 cut off", b"<svg xmlns='http://www.w3.org/2000/svg'/>"]
)
def test_a_file_that_is_not_a_photo_is_refused_in_one_sentence(content: bytes) -> None:
    with pytest.raises(BadInput, match="allowed is a photo"):
        photos.smaller_and_clean(SimpleUploadedFile("photo.jpg", content))


@pytest.mark.django_db
def test_a_photo_belongs_to_its_visit() -> None:
    visit = factory.visit()
    photos.add(
        visit, photo=_photo(), taken_for="take-in", words="scratch on the tank", by=factory.person(), now=timezone.now()
    )
    assert Photo.objects.get().visit == visit
