"""One backup is one ZIP file: any computer can open it, and a file that was cut off has no end and is no ZIP."""

from __future__ import annotations

import hashlib
import os
import shutil
import struct
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from garage.core.backups.manifest import DAMAGED, NAME, FileKept, Manifest, read_manifest
from garage.core.errors import Refused

PIECE_BYTES = 1 << 20  # read and written at a time
MANIFEST_LIMIT_BYTES = 100_000_000  # a million photos; what is said to be longer is no manifest
PACKED = {".jpg", ".jpeg", ".png", ".pdf", ".ogg", ".opus", ".webm", ".m4a", ".mp4", ".mp3", ".dump"}
# What a damaged file makes of the reader; a disk that cannot be read or written is an OSError and none of these.
WHAT_BREAKS = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError, ValueError)


@contextmanager
def new_archive(path: Path, *, compression: int = zipfile.ZIP_STORED) -> Iterator[zipfile.ZipFile]:
    """Readable for the garage's own system user alone, and on the disk when it is closed. compression: of what is put
    in without saying.
    """
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(descriptor, "w+b") as file:
        with zipfile.ZipFile(file, "w", compression, strict_timestamps=False) as archive:
            yield archive
        file.flush()
        os.fsync(file.fileno())


def put(archive: zipfile.ZipFile, name: str, source: Path) -> FileKept:
    """What has been written when it was read: a file that grows meanwhile is cut off there."""
    kind = zipfile.ZIP_STORED if source.suffix.lower() in PACKED else zipfile.ZIP_DEFLATED
    entry = zipfile.ZipInfo.from_file(source, name, strict_timestamps=False)
    entry.compress_type = kind
    with source.open("rb") as file, archive.open(entry, "w", force_zip64=True) as packed:
        return _copied(name, file, packed)


def put_text(archive: zipfile.ZipFile, name: str, text: str) -> FileKept:
    content = text.encode()
    archive.writestr(name, content, zipfile.ZIP_DEFLATED)
    return FileKept(name, len(content), hashlib.sha256(content).hexdigest())


def put_manifest(archive: zipfile.ZipFile, manifest: Manifest) -> None:
    archive.writestr(NAME, manifest.to_json(), zipfile.ZIP_DEFLATED)


def read(path: Path) -> Manifest:
    """Raises Refused for what is no backup."""
    try:
        with zipfile.ZipFile(path) as archive:
            if archive.getinfo(NAME).file_size > MANIFEST_LIMIT_BYTES:
                raise Refused(DAMAGED.format(what="what it says about itself is too long"))
            return read_manifest(archive.read(NAME))
    except KeyError as error:
        raise Refused(f"{path} is not a backup of Tickover.") from error
    except WHAT_BREAKS as error:
        raise Refused(f"{path} is not a whole backup of Tickover: it may have been cut off.") from error


def unpack(path: Path, manifest: Manifest, folder: Path | None) -> None:
    """Writes every file below folder, each compared with the manifest; without a folder it only compares.

    Raises Refused for the first that is missing or not as it was.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            for file in manifest.files:
                with archive.open(file.name) as packed:
                    _compare(file, _unpacked(file.name, packed, folder))
    except KeyError as error:
        raise Refused(DAMAGED.format(what="a file that it names is missing")) from error
    except WHAT_BREAKS as error:
        raise Refused(DAMAGED.format(what="a file in it cannot be read")) from error


def _unpacked(name: str, packed: IO[bytes], folder: Path | None) -> FileKept:
    if folder is None:
        return _copied(name, packed, None)
    target = folder / name
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with os.fdopen(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        kept = _copied(name, packed, file)
        file.flush()
        os.fsync(file.fileno())
    return kept


def _compare(wanted: FileKept, found: FileKept) -> None:
    if wanted != found:
        raise Refused(DAMAGED.format(what=f"{wanted.name} is not what it was"))


def _copied(name: str, source: IO[bytes], target: IO[bytes] | None) -> FileKept:
    size_bytes, hashed = 0, hashlib.sha256()
    while piece := source.read(PIECE_BYTES):
        size_bytes += len(piece)
        hashed.update(piece)
        if target:
            target.write(piece)
    return FileKept(name, size_bytes, hashed.hexdigest())


def free_bytes(folder: Path) -> int:
    return shutil.disk_usage(folder).free
