"""The forms of a page as a browser would send them."""

from __future__ import annotations

from html.parser import HTMLParser


class _Forms(HTMLParser):
    """Each form as {"values": ..., "buttons": [words]}."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[dict] = []
        self.select = self.textarea = ""
        self.in_button = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        if tag == "form":
            self.forms.append({"values": {}, "buttons": [], "action": given.get("action")})
        if not self.forms:
            return
        if tag == "input" and given.get("name"):
            self._take_input(given)
        elif tag == "select":
            self.select = given.get("name", "")
        elif tag == "option" and (self.select not in self._values or "selected" in given):
            self._values[self.select] = given.get("value", "")
        elif tag == "textarea":
            self.textarea = given.get("name", "")
            self._values[self.textarea] = ""
        self.in_button = tag == "button"

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea":
            self.textarea = ""

    def handle_data(self, data: str) -> None:
        if self.textarea:
            self._values[self.textarea] += data
        if self.in_button and self.forms and data.strip():
            self.forms[-1]["buttons"].append(data.strip())
            self.in_button = False

    @property
    def _values(self) -> dict[str, str]:
        return self.forms[-1]["values"]

    def _take_input(self, given: dict[str, str | None]) -> None:
        is_pick = given.get("type") in {"checkbox", "radio"}
        if not is_pick or "checked" in given:
            self._values[given["name"]] = given.get("value", "on" if is_pick else "") or ""


def values_of(page: str, button: str) -> dict[str, str]:
    """What the form with that button would send if it were pressed at once."""
    reader = _Forms()
    reader.feed(page)
    found = [form["values"] for form in reader.forms if button in form["buttons"]]
    assert len(found) == 1, f"{len(found)} forms with a button {button!r}"
    return {name: value.lstrip("\n") for name, value in found[0].items()}
