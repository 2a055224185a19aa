"""A person with a browser: opens addresses, follows links and presses buttons, sending what the forms hold."""

from __future__ import annotations

from typing import Any, Protocol
from urllib.parse import urljoin, urlsplit

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from jobs.tour.pages import Button, Form, Page
from jobs.tour.told_time import KEY, ToldTime


class Astray(Exception):
    """A page is not what the story needs. The sentence says where."""


class Fetched(Protocol):
    """A response of Django's test client. redirect_chain: each redirect's address and status."""

    status_code: int
    redirect_chain: list[tuple[str, int]]

    @property
    def content(self) -> bytes: ...


class Visitor:
    """page: the current page. path: its address. told: when it happens."""

    def __init__(self, host: str, told: ToldTime) -> None:
        environment: dict[str, Any] = {"SERVER_NAME": host, KEY: told}
        self._client = Client(enforce_csrf_checks=True, raise_request_exception=True, **environment)
        self.path = "/"
        self.page = Page("")

    def opens(self, address: str) -> Page:
        parts = urlsplit(urljoin(self.path, address))
        self.path = parts.path + (f"?{parts.query}" if parts.query else "")
        return self._shown(self._client.get(self.path, follow=True))

    def follows(self, words: str) -> Page:
        for said, address in self.page.links:
            if words in said:
                return self.opens(address)
        raise Astray(f'The page {self.path} has no link "{words}".')

    def downloads(self, address: str) -> bytes:
        """Downloads a file. The current page stays."""
        answer = self._client.get(urlsplit(address).path)
        if answer.status_code != 200:
            raise Astray(f"{address} answers {answer.status_code} instead of a file.")
        return answer.getvalue()

    def presses(self, words: str, action: str = "", /, **typed: object) -> Page:
        """Presses the button with these words in the form whose action ends so. Typed values replace the form's own."""
        form, button = self._button(words, action, set(typed))
        values = {name: list(given) for name, given in form.fields.items()}
        values |= {name: list(value) if isinstance(value, list) else [str(value)] for name, value in typed.items()}
        if button.name:
            values[button.name] = [button.value]
        address = urljoin(self.path, form.action) if form.action else self.path
        self.path = urlsplit(address).path
        send = self._client.post if form.method == "post" else self._client.get
        return self._shown(send(address if form.method == "post" else self.path, values, follow=True))

    def sends(self, words: str, action: str, /, **files: SimpleUploadedFile) -> Page:
        """As presses, for a form with a file field."""
        form, _ = self._button(words, action, set(files))
        self.path = urlsplit(urljoin(self.path, form.action)).path
        return self._shown(self._client.post(self.path, {**form.fields, **files}, follow=True))

    def _button(self, words: str, action: str, needed: set[str]) -> tuple[Form, Button]:
        for form in self.page.forms:
            for button in form.buttons:
                if button.is_called(words) and form.action.endswith(action) and needed <= form.names:
                    return form, button
        raise Astray(f'The page {self.path} has no button "{words}" with {sorted(needed) or "nothing to fill"}.')

    def _shown(self, answer: Fetched) -> Page:
        if answer.redirect_chain:
            parts = urlsplit(answer.redirect_chain[-1][0])
            self.path = urljoin(self.path, parts.path + (f"?{parts.query}" if parts.query else ""))
        self.page = Page(answer.content.decode())
        if answer.status_code != 200:
            raise Astray(f"The page {self.path} answers {answer.status_code}: {self.page.text[:300]}")
        return self.page
