"""A file that a PDF carries inside."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class FileInside:
    """at: aware, UTC. metadata: rdf:Description elements that tell readers of it (XMP)."""

    name: str
    content: bytes
    description: str
    at: datetime
    metadata: str
