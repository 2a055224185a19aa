"""A file that is too large is read off and thrown away as it comes, so that it fills no disk and gets a sentence."""

from __future__ import annotations

from django.core.files.uploadhandler import FileUploadHandler, StopUpload
from django.http import HttpRequest


class AtMost(FileUploadHandler):
    """Stands before those that keep the file; is_over is true once it was longer than `most_bytes`."""

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
