"""What a form of a page would send, read by the tour's reader of pages; and what of a page stands folded."""

from __future__ import annotations

from html.parser import HTMLParser
from uuid import uuid4

from jobs.tour.pages import Page


def keyed(**typed: str) -> dict[str, str]:
    """What is typed into a form that moves money, with the key of a page that was just opened."""
    return {"key": str(uuid4()), **typed}


def values_of(html: str, button: str) -> dict[str, str | list[str]]:
    """What the one form with that button would send if it were pressed at once; a list where a name has several."""
    found = [form for form in Page(html).forms if any(button == one.words.strip() for one in form.buttons)]
    assert len(found) == 1, f"{len(found)} forms with a button {button!r}"
    return {name: given[0] if len(given) == 1 else given for name, given in found[0].fields.items()}


def shown_and_folded(html: str) -> tuple[str, str]:
    """The words that stand open, and those behind a summary that is not open."""
    reader = _Folds(html)
    return " ".join(" ".join(reader.open_words).split()), " ".join(" ".join(reader.folded).split())


class _Folds(HTMLParser):
    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open_words: list[str] = []
        self.folded: list[str] = []
        self._details: list[bool] = []  # of each that surrounds us, whether it is closed
        self._in_summary = False
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "details":
            self._details.append("open" not in dict(attrs))
        self._in_summary = tag == "summary" or (self._in_summary and tag != "details")

    def handle_endtag(self, tag: str) -> None:
        if tag == "details":
            self._details.pop()
        if tag == "summary":
            self._in_summary = False

    def handle_data(self, data: str) -> None:
        around = self._details[:-1] if self._in_summary else self._details
        (self.folded if any(around) else self.open_words).append(data)
