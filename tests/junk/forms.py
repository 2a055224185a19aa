"""The forms of a page with what each field is, so that one can see whether what was typed is still there."""

from __future__ import annotations

from dataclasses import dataclass, field
from urllib.parse import urljoin, urlsplit

from jobs.tour.pages import Form, Page

KEPT = {"text", "textarea", "email", "tel", "number", "date", "time", "search", "url"}  # what a person types into


@dataclass(frozen=True)
class JunkForm:
    """path: where it is posted to. kinds: of each field. buttons: the name and value of each that has one."""

    path: str
    method: str
    fields: dict[str, list[str]]
    kinds: dict[str, str]
    buttons: tuple[tuple[str, str], ...] = field(default=())


class _Seen(Page):
    """Keeps the kind of each field too."""

    def __init__(self, html: str) -> None:
        self.kinds: dict[tuple[int, str], str] = {}
        super().__init__(html)

    def _in_form(self, form: Form, tag: str, given: dict[str, str]) -> None:
        super()._in_form(form, tag, given)
        if tag in ("input", "select", "textarea") and given.get("name"):
            kind = given.get("type", "text") if tag == "input" else tag
            self.kinds[id(form), given["name"]] = "readonly" if "readonly" in given else kind


def forms_on(html: str, path: str) -> list[JunkForm]:
    page = _Seen(html)
    return [
        JunkForm(
            path=urlsplit(urljoin(path, form.action)).path if form.action else urlsplit(path).path,
            method=form.method,
            fields=form.fields,
            kinds={name: kind for (whose, name), kind in page.kinds.items() if whose == id(form)},
            buttons=tuple((each.name, each.value) for each in form.buttons if each.name),
        )
        for form in page.forms
        if form.method != "dialog"  # closes a window of the page and sends nothing
    ]


def lost(html: str, path: str, typed: dict[str, list[str]]) -> list[str]:
    """Names of fields that are drawn again for that path, without what was typed into them."""
    again = [form for form in forms_on(html, path) if form.path == path and form.method == "post"]
    names = {name for form in again for name, kind in form.kinds.items() if kind in KEPT and name in typed}
    return sorted(name for name in names if not any(_is_kept(form, name, typed[name]) for form in again))


def _is_kept(form: JunkForm, name: str, values: list[str]) -> bool:
    return _plain(values[-1]) in {_plain(each) for each in form.fields.get(name, [])}


def _plain(text: str) -> str:
    """A browser keeps one kind of line break."""
    return text.replace("\r\n", "\n").replace("\r", "\n")
