"""A browser of the soak: opens pages and presses what it finds there. A refusal is an answer, an error never is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from random import Random
from typing import Any
from urllib.parse import urljoin, urlsplit

from django.test import Client
from django.test.client import ClientHandler
from django.utils.translation import gettext

from garage.core.text.languages import ENGLISH, LANGUAGES
from garage.output.speaking import speaking
from jobs.tour.pages import Button, Form, Page

REFUSED = frozenset({400, 403, 404, 409, 410, 413, 422, 429})


class Broken(AssertionError):
    """A page answered with an error, or something does not hold that always must."""


@dataclass
class SoakForm:
    """choices: what may be chosen for each field that is picked from. kinds: of each field, as a browser knows them."""

    form: Form
    choices: dict[str, list[str]] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)


class SoakPage(Page):
    """The tour's reader of pages, which keeps the choices of a form too."""

    def __init__(self, html: str) -> None:
        self.found: dict[int, SoakForm] = {}
        self._chosen_from = ""
        super().__init__(html)

    def _in_form(self, form: Form, tag: str, given: dict[str, str]) -> None:
        super()._in_form(form, tag, given)
        seen = self.found.setdefault(id(form), SoakForm(form))
        name, kind = given.get("name", ""), given.get("type", "text") if tag == "input" else tag
        if tag in ("input", "select", "textarea") and name:
            seen.kinds[name] = kind
            self._chosen_from = name
        if tag == "option" or kind in ("radio", "checkbox"):
            seen.choices.setdefault(name or self._chosen_from, []).append(given.get("value", "on"))


class Browser:
    """after: called after each answer, to look at what has changed. answered: how often by status. language: what it
    asks for; buttons are pressed by their English words in any.
    """

    def __init__(
        self, host: str, after: Callable[[str], None], answered: Counter[int], language: str = ENGLISH
    ) -> None:
        environment: dict[str, Any] = {"SERVER_NAME": host, "HTTP_ACCEPT_LANGUAGE": language}
        self.client = Client(enforce_csrf_checks=True, raise_request_exception=True, **environment)
        self.client.handler = _handler()
        self.path, self.status, self.page = "/", 0, SoakPage("")
        self.answered = answered
        self._after = after

    @property
    def was_taken(self) -> bool:
        """Whether the last press was accepted."""
        return self.status == 200

    def opens(self, address: str) -> SoakPage:
        parts = urlsplit(urljoin(self.path, address))
        self.path = parts.path + (f"?{parts.query}" if parts.query else "")
        return self._shown("get", self.client.get(self.path, follow=True))

    def forms(self, button: str = "", action: str = "") -> list[tuple[SoakForm, Button]]:
        """Those on the page with such a button and an address that ends so. Empty words: any."""
        called = _in_each_language(button)
        return [
            (self.page.found.get(id(form), SoakForm(form)), each)
            for form in self.page.forms
            if form.action.partition("#")[0].endswith(action)
            for each in form.buttons
            if any(each.is_called(words) for words in called)
        ]

    def presses(self, button: str, action: str = "", /, **typed: object) -> bool:
        """Whether there is such a button. What is typed replaces what the form holds."""
        found = [each for each in self.forms(button, action) if set(typed) <= each[0].form.names]
        if not found:
            return False
        self.sends(*found[0], typed)
        return True

    def sends(self, seen: SoakForm, button: Button, typed: Mapping[str, object], *, then_looks: bool = True) -> None:
        """then_looks: at the page that it is sent on to. If not, the page that it stands on stays."""
        form = seen.form
        values: dict[str, Any] = {name: list(given) for name, given in form.fields.items() if name}
        values |= {
            name: value if hasattr(value, "read") else list(value) if isinstance(value, list) else [str(value)]
            for name, value in typed.items()
        }
        if button.name:
            values[button.name] = [button.value]
        stood, path = self.path, urlsplit(urljoin(self.path, form.action) if form.action else self.path).path
        send = self.client.post if form.method == "post" else self.client.get
        self.path, answer = path, send(path, values, follow=then_looks)
        if answer.status_code == 302:
            self.path, self.status = stood, 200
            self._after(f"{form.method} {path} {_short(values)}")
        else:
            self._shown(f"{form.method} {_short(values)}", answer)

    def presses_anything(self, chance: Random, fill: Callable[[Random, SoakForm], dict[str, object]],
                         may: Callable[[str], bool]) -> str:  # fmt: skip
        """One button of one form that may be sent, filled in at random. Returns its address; empty if there is none."""
        there = [
            (seen, button)
            for seen, button in self.forms()
            if seen.form.method == "post" and may(urljoin(self.path, seen.form.action or self.path))
        ]
        if not there:
            return ""
        seen, button = chance.choice(there)
        self.sends(seen, button, fill(chance, seen))
        return self.path

    def _shown(self, what: str, answer: Any) -> SoakPage:
        asked = self.path
        if getattr(answer, "redirect_chain", None):
            parts = urlsplit(answer.redirect_chain[-1][0])
            self.path = urljoin(self.path, parts.path + (f"?{parts.query}" if parts.query else ""))
        self.status = answer.status_code
        self.answered[self.status] += 1
        if self.status != 200 and self.status not in REFUSED:
            raise Broken(f"{what} {asked} is answered {self.status}")
        is_page = answer.headers.get("Content-Type", "").startswith("text/html")
        self.page = SoakPage(answer.content.decode() if is_page else "")
        self._after(f"{what} {asked}")
        return self.page


@cache
def _handler() -> ClientHandler:
    """One for all browsers: each new one would look through all static files."""
    return ClientHandler(enforce_csrf_checks=True)


@cache
def _in_each_language(words: str) -> frozenset[str]:
    said = {words}
    for code in LANGUAGES if words else ():  # the empty text is a catalogue's own head
        with speaking(code):
            said.add(gettext(words))
    return frozenset(said)


def _short(values: Mapping[str, object]) -> str:
    return str({name: value for name, value in values.items() if name != "csrfmiddlewaretoken"})[:400]
