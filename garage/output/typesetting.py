"""The only call of WeasyPrint. `pdf.py` imports it with the first paper."""

from mimetypes import guess_type
from pathlib import Path
from urllib.parse import unquote, urlsplit

from django.conf import settings
from django.contrib.staticfiles import finders
from PIL import ImageFile
from weasyprint import HTML
from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

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
    try:
        paper = HTML(string=html, base_url=f"http://{HOST}/", url_fetcher=_OwnFilesOnly(fail_on_errors=True))
        made: bytes = paper.write_pdf()
    except FatalURLFetchingError as error:
        raise PaperTrouble(str(error.__cause__ or error)) from error
    return made
