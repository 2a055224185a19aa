"""Photos: rotated upright, made smaller and stripped of the phone's metadata (place, owner, camera)."""

from __future__ import annotations

import io
import struct
import zlib
from datetime import datetime

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from PIL import Image, ImageOps, UnidentifiedImageError

from garage.changes import trail
from garage.core.errors import BadInput, Refused
from garage.models.people import Person
from garage.models.visits import Photo, Visit

LONGEST_SIDE_PX = 1600  # readable scratches, some 300 kB; common practice, no source
LARGEST_BYTES = 25_000_000  # the largest a current phone makes; common practice, no source
LARGEST_PIXELS = 100_000_000  # a decompression bomb has more
# What the readers of the three formats raise for files that are cut off, bent, or hold more text than picture.
UNREADABLE = (
    *(UnidentifiedImageError, OSError, SyntaxError, Image.DecompressionBombError),
    *(ValueError, LookupError, EOFError, struct.error, zlib.error),
)
ALLOWED = "a photo (JPEG, PNG or WebP) of at most 25 MB"


def smaller_and_clean(upload: UploadedFile[bytes]) -> bytes:
    """The photo as JPEG, upright, at most LONGEST_SIDE_PX, without its metadata. Raises BadInput."""
    size_bytes = upload.size or 0  # every uploaded file has one
    if size_bytes > LARGEST_BYTES:
        raise BadInput("photo", f"{size_bytes // 1_000_000} MB", ALLOWED)
    try:
        with Image.open(upload, formats=["JPEG", "PNG", "WEBP"]) as picture:
            if picture.width * picture.height > LARGEST_PIXELS:
                raise BadInput("photo", f"{picture.width} by {picture.height} dots", ALLOWED)
            upright = ImageOps.exif_transpose(picture).convert("RGB")
    except UNREADABLE as trouble:
        raise BadInput("photo", upload.name or "a file", ALLOWED) from trouble
    upright.thumbnail((LONGEST_SIDE_PX, LONGEST_SIDE_PX))
    out, dots_alone = io.BytesIO(), Image.new("RGB", upright.size)
    dots_alone.paste(upright)  # a picture carries its comment and colour profile along into the next file
    dots_alone.save(out, "JPEG", quality=82, optimize=True)
    return out.getvalue()


@transaction.atomic
def add(visit: Visit, *, photo: UploadedFile[bytes], taken_for: str, words: str, by: Person, now: datetime) -> Photo:
    row = Photo(visit=visit, taken_for=taken_for, words=words, at=now, by=by)
    row.file.save(f"visit-{visit.number}.jpg", ContentFile(smaller_and_clean(photo)), save=True)
    trail.about_visit(visit, f"photo kept ({taken_for})", by=by, now=now)
    return row


@transaction.atomic
def take_away(photo: Photo, *, by: Person, now: datetime) -> None:
    """One that was taken by mistake: picture and row go, the trail keeps who took it and who deleted it."""
    row = Photo.objects.select_for_update().filter(pk=photo.pk).first()
    if row is None:
        raise Refused("This photo has been deleted already.")
    did = f"photo deleted ({row.taken_for}), taken by {row.by.name}"
    trail.about_visit(row.visit, did, by=by, now=now, taken_at=row.at.isoformat(), shows=row.words)
    row.delete()
    transaction.on_commit(lambda: row.file.delete(save=False), robust=True)
