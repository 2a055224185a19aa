"""The only calls of WeasyPrint. `pdf.py` imports them with the first paper."""

from collections.abc import Iterator
from contextlib import contextmanager
from hashlib import sha256
from mimetypes import guess_type
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from PIL import ImageFile
from weasyprint import HTML, Attachment
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

from garage.output.file_inside import FileInside
from garage.output.paper_trouble import PaperTrouble

# WeasyPrint switches this on for the whole process: a photo that is cut off would be taken after the first paper.
ImageFile.LOAD_TRUNCATED_IMAGES = False
HOST = "paper.invalid"  # no such host can exist (RFC 2606): papers use the same addresses as pages, /static/…


class _OwnFilesOnly(URLFetcher):  # type: ignore[misc]  # the library ships no types
    def fetch(self, url: str, headers: dict[str, str] | None = None) -> URLFetcherResponse:
        if url.startswith("data:"):
            return super().fetch(url, headers)
        parts, inside = urlsplit(url), f"/{settings.STATIC_URL.lstrip('/')}"
        name = unquote(parts.path).removeprefix(inside)
        found = finders.find(name) if parts.netloc == HOST and parts.path.startswith(inside) else None
        if not found:
            raise PaperTrouble(f"A paper may not fetch {url}: only files under {inside} are ours.")
        content_type = guess_type(name)[0] or "application/octet-stream"
        return URLFetcherResponse(url, Path(found).read_bytes(), {"Content-Type": content_type})


def typeset(html: str) -> bytes:
    """html: a whole document. Raises PaperTrouble if it asks for a file that is missing or not ours."""
    with _our_trouble():
        made: bytes = _html(html).write_pdf(pdf_tags=True)
        return made


def typeset_to_keep(html: str, inside: FileInside) -> bytes:
    """As PDF/A-3b with one file inside, and nothing in it that differs from one making to the next."""
    file = Attachment(
        string=inside.content,
        name=inside.name,
        description=inside.description,
        created=inside.at,
        modified=inside.at,
        relationship="Alternative",  # the file says all that the paper says (ISO 32000-2, 7.11.3)
    )
    identifier = sha256(inside.content).hexdigest()[:32].encode()
    options = {"pdf_variant": "pdf/a-3b", "pdf_identifier": identifier, "attachments": [file]}
    with _our_trouble():
        document = _html(html).render(**options)
        document.metadata.created = document.metadata.modified = inside.at.strftime("%Y-%m-%dT%H:%M:%SZ")
        usual = document.metadata.generate_rdf_metadata

        def with_more(*told: object) -> bytes:  # XMP has one rdf:RDF; the library's own option adds a second
            rdf: bytes = usual(*told)
            return rdf.replace(b"</rdf:RDF>", inside.metadata.encode() + b"</rdf:RDF>")

        document.metadata.generate_rdf_metadata = with_more
        made: bytes = document.write_pdf(finisher=_name_once, **options)
        return made


def _name_once(_document: object, made: Any) -> None:
    """The library lists the file twice among what belongs to the document."""
    made.catalog["AF"] = type(made.catalog["AF"])(dict.fromkeys(made.catalog["AF"]))


def _html(html: str) -> HTML:
    return HTML(string=html, base_url=f"http://{HOST}/", url_fetcher=_OwnFilesOnly(fail_on_errors=True))


@contextmanager
def _our_trouble() -> Iterator[None]:
    try:
        yield
    except FatalURLFetchingError as error:
        raise PaperTrouble(str(error.__cause__ or error)) from error
