"""The words of a PDF, read back."""

from __future__ import annotations

import io
import re

from pypdf import PdfReader


def pdf_words(content: bytes) -> str:
    """In one line: where a paper breaks one is its own affair. Spaces that keep words together stay."""
    return re.sub(r"[ \n]+", " ", "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages))
