"""The export of everything that was asked for last, and its file."""

from __future__ import annotations

from datetime import UTC
from pathlib import Path

from django.conf import settings

from garage.models.exports import WholeExport


def last_export() -> WholeExport | None:
    return WholeExport.objects.first()


def exports_folder() -> Path:
    return Path(settings.DATA) / "exports"


def export_path(export: WholeExport) -> Path:
    """A new one has a name of its own: whoever still takes away the one before gets that to its end."""
    return exports_folder() / f"{export.asked_at.astimezone(UTC):%Y%m%d-%H%M%S-%f}.zip"
