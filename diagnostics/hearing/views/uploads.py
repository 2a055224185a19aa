"""The upload of a clip. One whose stated size is too large is refused unread. One that is larger than it states is
thrown away as it comes. Neither fills a disk, and both get a sentence.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeVar

from django.core.files.uploadedfile import UploadedFile
from django.core.files.uploadhandler import FileUploadHandler, StopUpload
from django.http import HttpRequest, HttpResponseBase

from diagnostics.hearing.changes.taking_in import LARGEST_MB, allowed_words
from garage.core.errors import BadInput, Unquoted
from garage.core.text.languages import in_figures, told
from garage.views.body_limits import AROUND_BYTES, takes_a_file

ClipView = TypeVar("ClipView", bound=Callable[..., HttpResponseBase])

LARGEST_BYTES = LARGEST_MB * 1_000_000


class AtMost(FileUploadHandler):
    """Stands before the handlers that keep the file. is_over: it was longer than `most_bytes`."""

    def __init__(self, request: HttpRequest, most_bytes: int) -> None:
        super().__init__(request)
        self.most_bytes, self.is_over = most_bytes, False

    def receive_data_chunk(self, raw_data: bytes, start: int) -> bytes:
        if start + len(raw_data) > self.most_bytes:
            self.is_over = True
            raise StopUpload(connection_reset=False)
        return raw_data

    def file_complete(self, file_size: int) -> None:
        """The next handler has the file."""


def reads_its_form_itself(view: ClipView) -> ClipView:
    """No middleware reads the form before the limit stands. On the view as the address calls it."""
    view.reads_its_form_itself = True  # type: ignore[attr-defined]  # the mark is looked for by its name
    return takes_a_file(LARGEST_BYTES)(view)


def limit(request: HttpRequest) -> None:
    """To be set before anything reads the form, even the token in it. Raises BadInput for too large a stated size."""
    stated_bytes = int(request.META.get("CONTENT_LENGTH") or 0)
    if stated_bytes > LARGEST_BYTES + AROUND_BYTES:
        found = Unquoted(in_figures(f"{math.ceil((stated_bytes - AROUND_BYTES) / 1e6):,} MB"))
        raise BadInput(told("The clip"), found, allowed_words())
    request.upload_handlers.insert(0, AtMost(request, LARGEST_BYTES))


def clip_in(request: HttpRequest) -> UploadedFile[bytes]:
    """The clip that was sent, once the limit is set. Raises BadInput."""
    upload = request.FILES.get("clip")
    if upload is None:
        is_over = any(isinstance(each, AtMost) and each.is_over for each in request.upload_handlers)
        found = Unquoted(told("more than {largest} MB", largest=LARGEST_MB)) if is_over else None
        raise BadInput(told("The clip"), found, allowed_words())
    return upload
