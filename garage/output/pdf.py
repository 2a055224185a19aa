"""A page of HTML becomes a PDF that fetches nothing but our own static files."""


def pdf(html: str) -> bytes:
    """html: a whole document. Raises PaperTrouble if it asks for a file that is missing or not ours."""
    # WeasyPrint takes half a second to import, and most processes never make a paper.
    from garage.output.typesetting import typeset

    return typeset(html)
