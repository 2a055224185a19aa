import io
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image, PngImagePlugin

from garage.changes.visit import photos
from garage.core.errors import BadInput
from garage.models.visits import Photo
from tests.factories import garage as factory
from tests.sentences import check_noted, refuses

ALLOWED = "a photo (JPEG, PNG or WebP) of at most 25 MB"
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


def test_a_photo_loses_the_comment_and_the_profile_that_its_file_held() -> None:
    out = io.BytesIO()
    Image.new("RGB", (8, 8)).save(out, "JPEG", comment=b"at the owner's door", icc_profile=b"a profile of a phone")
    assert b"owner's door" in out.getvalue()
    kept = photos.smaller_and_clean(SimpleUploadedFile("photo.jpg", out.getvalue()))
    assert b"owner's door" not in kept
    assert b"a profile" not in kept


def _png_with_text(length: int) -> bytes:
    out, info = io.BytesIO(), PngImagePlugin.PngInfo()
    info.add_text("Comment", "x" * length, zip=True)
    Image.new("RGB", (8, 8)).save(out, "PNG", pnginfo=info)
    return out.getvalue()


@pytest.mark.parametrize(
    "content",
    [
        *(b"", b"not a picture", b"\xff\xd8\xff\xe0 cut off", b"<svg xmlns='http://www.w3.org/2000/svg'/>"),
        *(_png_with_text(3_000_000), _png_with_text(3_000_000)[:-40]),
    ],
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


@pytest.mark.django_db
def test_a_photo_is_kept_with_what_it_shows_who_took_it_and_when() -> None:
    visit, by, now = factory.visit(), factory.person(), timezone.now()
    row = photos.add(visit, photo=_photo(), taken_for="gate", words="oil on the cap", by=by, now=now)
    check_noted("photo kept (gate)", by=by, at=now, visit=visit)
    row.refresh_from_db()
    assert (row.taken_for, row.words, row.by, row.at) == ("gate", "oil on the cap", by, now)
    assert re.search(r"/[0-9a-f]{32}\.jpg\Z", row.file.name)
    with row.file.open() as file, Image.open(file) as kept:
        assert (kept.format, kept.mode, kept.size) == ("JPEG", "RGB", (800, 1600))


def test_a_photo_that_is_small_already_keeps_its_size() -> None:
    kept = Image.open(io.BytesIO(photos.smaller_and_clean(_photo(600, 300, orientation=1))))
    assert kept.size == (600, 300)


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_picture_with_transparency_becomes_a_photo(kind: str) -> None:
    out = io.BytesIO()
    Image.new("RGBA", (20, 10), "red").save(out, kind)
    kept = Image.open(io.BytesIO(photos.smaller_and_clean(SimpleUploadedFile("photo", out.getvalue()))))
    assert (kept.format, kept.mode) == ("JPEG", "RGB")


def test_another_kind_of_picture_is_refused_by_its_name() -> None:
    out = io.BytesIO()
    Image.new("RGB", (20, 10)).save(out, "GIF")
    with refuses(f"photo is 'cat.gif'; allowed is {ALLOWED}.", BadInput):
        photos.smaller_and_clean(SimpleUploadedFile("cat.gif", out.getvalue()))


def test_a_photo_of_25_megabytes_is_looked_at_and_one_of_more_is_not() -> None:
    upload = SimpleUploadedFile("photo.jpg", b"no picture")
    upload.size = 26_500_000
    with refuses(f"photo is '26 MB'; allowed is {ALLOWED}.", BadInput):
        photos.smaller_and_clean(upload)
    upload.size = 25_000_000
    with refuses(f"photo is 'photo.jpg'; allowed is {ALLOWED}.", BadInput):
        photos.smaller_and_clean(upload)


def test_a_photo_with_more_dots_than_any_camera_makes_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "LARGEST_PIXELS", 200)
    assert photos.smaller_and_clean(_photo(20, 10))
    with pytest.raises(BadInput, match="photo is 21 by 10 dots; allowed is a usual JPEG of at most"):
        photos.smaller_and_clean(_photo(21, 10))


def _stated_size(jpeg: bytes, width: int, height: int) -> bytes:
    """The same file that says it were so large (ITU-T T.81, B.2.2: the frame's head)."""
    at = re.search(rb"\xff[\xc0\xc2]\x00\x11\x08", jpeg).end()  # type: ignore[union-attr]
    return jpeg[:at] + height.to_bytes(2, "big") + width.to_bytes(2, "big") + jpeg[at + 4 :]


@pytest.mark.filterwarnings("ignore::PIL.Image.DecompressionBombWarning")
@pytest.mark.parametrize(("options", "million"), [({}, 101), ({"progressive": True}, 31)], ids=["usual", "progressive"])
def test_a_photo_too_large_for_the_memory_is_refused_by_its_head_alone(
    options: dict[str, bool], million: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """96 million dots took 1.9 GB."""
    out = io.BytesIO()
    Image.new("RGB", (32, 32)).save(out, "JPEG", **options)
    monkeypatch.setattr(photos, "_decoded", None)
    large = SimpleUploadedFile("photo.jpg", _stated_size(out.getvalue(), 100 * million, 10_000))
    with refuses(
        f"photo is {100 * million} by 10000 dots; allowed is a usual JPEG of at most 100 million dots, "
        "or any other photo of at most 30 million.",
        BadInput,
    ):
        photos.smaller_and_clean(large)


@pytest.mark.parametrize(("width", "height"), [(6400, 1600), (3300, 6600), (13000, 400)])
def test_a_usual_photo_is_decoded_smaller_than_it_is(width: int, height: int, monkeypatch: pytest.MonkeyPatch) -> None:
    decoded, thumbnail = [], Image.Image.thumbnail
    monkeypatch.setattr(Image.Image, "thumbnail", lambda self, size: decoded.append(self.size) or thumbnail(self, size))
    upload, out = io.BytesIO(), io.BytesIO()
    Image.new("L", (width, height)).save(upload, "JPEG")
    out.write(photos.smaller_and_clean(SimpleUploadedFile("photo.jpg", upload.getvalue())))
    assert max(decoded[0]) < 3300
    assert max(Image.open(out).size) == photos.LONGEST_SIDE_PX


@pytest.mark.parametrize(
    ("kind", "mode"), [("PNG", "P"), ("PNG", "1"), ("PNG", "LA"), ("PNG", "I;16"), ("JPEG", "CMYK")]
)
def test_a_photo_of_any_make_up_becomes_one_as_we_keep_it(kind: str, mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (2000, 100)).save(out, kind)
    kept = Image.open(io.BytesIO(photos.smaller_and_clean(SimpleUploadedFile("photo", out.getvalue()))))
    assert (kept.mode, kept.size) == ("RGB", (1600, 80))


@pytest.mark.django_db
def test_a_photo_taken_by_mistake_goes_and_the_trail_keeps_who_took_it_and_who_deleted_it(
    django_capture_on_commit_callbacks: object,
) -> None:
    visit, ada, jo = factory.visit(), factory.person(first_name="Ada"), factory.person(first_name="Jo")
    now = timezone.now()
    row = photos.add(visit, photo=_photo(60, 30), taken_for="gate", words="my thumb", by=ada, now=now)
    storage, name = row.file.storage, row.file.name
    with django_capture_on_commit_callbacks(execute=True):  # type: ignore[operator]
        photos.take_away(row, by=jo, now=now)
    assert not Photo.objects.exists()
    assert not storage.exists(name)
    did = f"photo deleted (gate), taken by {ada.name}"
    check_noted(did, by=jo, at=now, visit=visit, taken_at=now.isoformat(), shows="my thumb")
    with refuses("This photo has been deleted already."):
        photos.take_away(row, by=jo, now=now)
