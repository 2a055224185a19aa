"""A page as a person sees it: its words, its links and its forms with their initial values."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html.parser import HTMLParser

BLOCKS = frozenset({"p", "h1", "h2", "h3", "li", "dt", "dd", "tr", "td", "th", "div", "section", "form"})
BLOCKS |= {"legend", "label", "summary", "caption", "br"}
UNREAD = frozenset({"script", "style", "head", "svg"})


@dataclass
class Button:
    words: str = ""
    label: str = ""
    name: str = ""
    value: str = ""

    def is_called(self, words: str) -> bool:
        return words in (self.label or self.words) or words == self.value


@dataclass
class Form:
    action: str
    method: str
    fields: dict[str, list[str]] = field(default_factory=dict)
    names: set[str] = field(default_factory=set)
    buttons: list[Button] = field(default_factory=list)


class Page(HTMLParser):
    """text: all words in reading order, one line per block. links: (words, address)."""

    def __init__(self, html: str) -> None:
        super().__init__(convert_charrefs=True)
        self.links: list[tuple[str, str]] = []
        self.forms: list[Form] = []
        self._words: list[str] = []
        self._unread: list[str] = []
        self._form: Form | None = None
        self._button: Button | None = None
        self._link: list[str] | None = None
        self._select: tuple[str, list[str]] | None = None
        self._area: str | None = None
        self.feed(html)
        self.close()

    @property
    def text(self) -> str:
        lines = (re.sub(r"\s+", " ", line).strip() for line in "".join(self._words).split("\n"))
        return "\n".join(line for line in lines if line)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if tag in UNREAD:
            self._unread.append(tag)
        if tag in BLOCKS:
            self._words.append("\n")
        if tag == "a":
            self._link = [given.get("href", ""), ""]
        elif tag == "form":
            self._form = Form(given.get("action", ""), given.get("method", "get").lower())
            self.forms.append(self._form)
        elif self._form is not None:
            self._in_form(self._form, tag, given)

    def _in_form(self, form: Form, tag: str, given: dict[str, str]) -> None:
        name = given.get("name", "")
        if tag == "button":
            self._button = Button("", given.get("aria-label", ""), name, given.get("value", ""))
            form.buttons.append(self._button)
        elif tag == "input":
            form.names.add(name)
            is_tick = given.get("type") in ("checkbox", "radio")
            if name and given.get("type") != "file" and (not is_tick or "checked" in given):
                form.fields.setdefault(name, []).append(given.get("value", "on" if is_tick else ""))
        elif tag == "select":
            self._select = (name, [])
        elif tag == "option" and self._select:
            self._select[1].insert(0 if "selected" in given else len(self._select[1]), given.get("value", ""))
        elif tag == "textarea":
            self._area = name
            form.fields[name] = [""]
        if tag in ("select", "textarea"):
            form.names.add(name)

    def handle_endtag(self, tag: str) -> None:
        if tag in UNREAD and self._unread:
            self._unread.pop()
        if tag in BLOCKS:
            self._words.append("\n")
        if tag == "a" and self._link:
            self.links.append((" ".join(self._link[1].split()), self._link[0]))
            self._link = None
        elif tag == "form":
            self._form = None
        elif tag == "button":
            self._button = None
        elif tag == "select" and self._select and self._form:
            name, values = self._select
            self._form.fields[name] = values[:1]
            self._select = None
        elif tag == "textarea" and self._area is not None and self._form:
            self._form.fields[self._area][0] = self._form.fields[self._area][0].removeprefix("\n")  # as browsers do
            self._area = None

    def handle_data(self, data: str) -> None:
        if self._unread:
            return
        if self._area is not None and self._form is not None:
            self._form.fields[self._area][0] += data
            return
        self._words.append(re.sub(r"\s+", " ", data))
        if self._button is not None:
            self._button.words += data
        if self._link is not None:
            self._link[1] += data
