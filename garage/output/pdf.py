"""A page of HTML becomes a PDF that fetches nothing but our own static files."""

from garage.output.file_inside import FileInside


def pdf(html: str) -> bytes:
    """html: a whole document. Raises PaperTrouble if it asks for a file that is missing or not ours."""
    # WeasyPrint takes half a second to import, and most processes never make a paper.
    from garage.output.typesetting import typeset

    return typeset(html)


def pdf_to_keep(html: str, inside: FileInside) -> bytes:
    """As PDF/A-3b with a file inside: the same bytes each time that it is made from the same."""
    from garage.output.typesetting import typeset_to_keep

    return typeset_to_keep(html, inside)
