"""The words of a PDF, read back."""

from __future__ import annotations

import io

from pypdf import PdfReader


def pdf_words(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages)
