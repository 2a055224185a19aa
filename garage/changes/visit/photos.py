"""Photos: rotated upright, made smaller and stripped of the phone's metadata (place, owner, camera)."""

from __future__ import annotations

import hashlib
import io
import struct
import threading
import uuid
import zlib
from collections.abc import Sequence
from datetime import datetime
from functools import partial

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError
from PIL.ImageFile import ImageFile

from garage.changes import trail
from garage.changes.day.locks import visit_for_change
from garage.changes.kept_files import gone_without_their_rows
from garage.core.errors import BadInput, Refused, Unquoted
from garage.models.people import Person
from garage.models.visits import Photo, Visit

LONGEST_SIDE_PX = 1600  # readable scratches, some 300 kB; common practice, no source
LARGEST_BYTES = 25_000_000  # the largest a current phone makes; common practice, no source
LARGEST_PIXELS = 100_000_000  # a decompression bomb has more; nobody's memory must hold so many, see _decoded
LARGEST_WHOLE_PIXELS = 30_000_000  # of a file that can only be decoded whole: 120 MB of memory
# What the readers of the three formats raise for files that are cut off, bent, or hold more text than picture.
UNREADABLE = (
    *(UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError),
    *(ValueError, LookupError, EOFError, struct.error, zlib.error),
)
ALLOWED = "a photo (JPEG, PNG or WebP) of at most 25 MB"
ALLOWED_PIXELS = "a usual JPEG of at most {} million dots, or any other photo of at most {} million"

_one_at_a_time = threading.Lock()  # in each process of the web server; a photo takes a second and a lot of memory


def smaller_and_clean(upload: UploadedFile[bytes]) -> bytes:
    """The photo as JPEG, upright, at most LONGEST_SIDE_PX, without its metadata. Raises BadInput."""
    size_bytes = upload.size or 0  # every uploaded file has one
    if size_bytes > LARGEST_BYTES:
        raise BadInput("photo", f"{size_bytes // 1_000_000} MB", ALLOWED)
    try:
        with _one_at_a_time, Image.open(upload, formats=["JPEG", "PNG", "WEBP"]) as picture:
            _check_pixels(picture)
            upright = ImageOps.exif_transpose(_decoded(picture)).convert("RGB")
    except UNREADABLE as trouble:
        raise BadInput("photo", upload.name or "a file", ALLOWED) from trouble
    out, dots_alone = io.BytesIO(), Image.new("RGB", upright.size)
    dots_alone.paste(upright)  # a picture carries its comment and colour profile along into the next file
    dots_alone.save(out, "JPEG", quality=82, optimize=True)
    return out.getvalue()


def _check_pixels(picture: ImageFile) -> None:
    """By the head of the file, before anything is decoded."""
    pixels = picture.width * picture.height
    if pixels > LARGEST_PIXELS or (pixels > LARGEST_WHOLE_PIXELS and not _comes_smaller(picture)):
        allowed = ALLOWED_PIXELS.format(LARGEST_PIXELS // 1_000_000, LARGEST_WHOLE_PIXELS // 1_000_000)
        raise BadInput("photo", Unquoted(f"{picture.width} by {picture.height} dots"), allowed)


def _comes_smaller(picture: ImageFile) -> bool:
    """Whether its decoder can leave out what is not needed. Of a progressive JPEG it keeps all until the end."""
    return picture.format == "JPEG" and not picture.info.get("progressive")


def _decoded(picture: ImageFile) -> Image.Image:
    """At most LONGEST_SIDE_PX, still as the camera was held. A JPEG is decoded to an eighth at the least."""
    shrunk = LONGEST_SIDE_PX / max(picture.size)
    if shrunk < 1:
        picture.draft(None, (round(picture.width * shrunk), round(picture.height * shrunk)))
    found: Image.Image = picture if picture.mode in ("L", "RGB", "RGBA", "CMYK") else picture.convert("RGB")
    found.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    return found


def add(
    visit: Visit,
    *,
    photo: UploadedFile[bytes],
    taken_for: str,
    words: str,
    key: uuid.UUID | None = None,
    by: Person,
    now: datetime,
) -> Photo:
    """key: of a form that a phone may send twice. The file is named by it, so the second adds no photo."""
    name = (key or uuid.uuid4()).hex
    row = Photo(visit=visit, taken_for=taken_for, words=words, at=now, by=by)
    picture = ContentFile(smaller_and_clean(photo))
    with gone_without_their_rows() as kept, transaction.atomic():
        if key:
            visit_for_change(visit)
            if come := Photo.objects.filter(visit=visit, file__contains=name).first():
                return come
        row.file.save(f"{name}.jpg", picture, save=False)
        kept.append(row.file)
        row.save()
        trail.about_visit(visit, f"photo kept ({taken_for})", by=by, now=now)
    return row


def shown(rows: Sequence[Photo], *, now: datetime) -> None:
    """To the owner, with what is asked. From then on they stay. Within a change of the visit."""
    Photo.objects.filter(pk__in=[row.pk for row in rows], shown_at=None).update(shown_at=now)


def sha256_of(photo: Photo) -> str:
    """Of the picture as it is kept."""
    with photo.file.open("rb") as kept:
        return hashlib.file_digest(kept, "sha256").hexdigest()


def forget(visit: Visit) -> int:
    """All of a visit that is over, within the change that holds its lock."""
    rows = list(Photo.objects.filter(visit=visit))
    Photo.objects.filter(visit=visit).delete()
    for row in rows:
        transaction.on_commit(partial(row.file.delete, save=False), robust=True)
    return len(rows)


@transaction.atomic
def take_away(photo: Photo, *, by: Person, now: datetime) -> None:
    """One that was taken by mistake: picture and row go, the trail keeps who took it and who deleted it."""
    row = Photo.objects.select_for_update().filter(pk=photo.pk).first()
    if row is None:
        raise Refused("This photo has been deleted already.")
    if row.shown_at:
        raise Refused("The owner was asked something with this photo, so it stays.")
    did = f"photo deleted ({row.taken_for}), taken by {row.by.name}"
    trail.about_visit(row.visit, did, by=by, now=now, taken_at=row.at.isoformat(), shows=row.words)
    row.delete()
    transaction.on_commit(lambda: row.file.delete(save=False), robust=True)
