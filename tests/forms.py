"""What a form of a page would send, read by the tour's reader of pages."""

from __future__ import annotations

from jobs.tour.pages import Page


def values_of(html: str, button: str) -> dict[str, str | list[str]]:
    """What the one form with that button would send if it were pressed at once; a list where a name has several."""
    found = [form for form in Page(html).forms if any(button == one.words.strip() for one in form.buttons)]
    assert len(found) == 1, f"{len(found)} forms with a button {button!r}"
    return {name: given[0] if len(given) == 1 else given for name, given in found[0].fields.items()}
