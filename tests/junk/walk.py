"""Junk posted to every form and asked of every link of a garage with the demo."""

from __future__ import annotations

import traceback
from collections import Counter
from collections.abc import Mapping
from random import Random
from typing import Any

from django.contrib.auth import get_user_model
from django.test import Client

from garage.changes.people import attempts
from garage.changes.people.link_limits import MOST_SENT, SENT_BY_LINK
from garage.models.sessions import PROVED
from tests.browser import addresses as places
from tests.junk.forms import JunkForm, forms_on, lost
from tests.junk.values import junk, junk_file

LEFT_OUT = {"log-out", "log-ins-end"}  # they end what the walk goes by
ON_A_LINK = ("day", "since", "page", "q", "first", "last", "kind", "machine", "starts_at", "at", "minutes", "next")
MOST_TOLD = 30  # of what went wrong
LOOKS_EVERY = 1000  # posts
LATER_THAN_ANY_WALK = "2999-01-01T00:00:00+00:00"
LONGEST_PART = 2000  # characters of an address


class Walk:
    """wrong: what went wrong, each with how to do it again. answered: by what was done and its status."""

    def __init__(self, seed: int) -> None:
        self.chance = Random(seed)
        self.paths = places.addresses()
        self.wrong: list[str] = []
        self.answered: Counter[str] = Counter()
        self.boss, self.stranger = Client(), Client()
        self._log_in()
        self.forms = self._all_forms()

    def _log_in(self) -> None:
        """Whatever the junk has made of the boss."""
        first = get_user_model().objects.order_by("id").values_list("pk", flat=True).first()
        get_user_model().objects.filter(pk=first).update(is_active=True, role="boss")
        self.boss.force_login(get_user_model().objects.get(pk=first))
        session = self.boss.session
        session[PROVED] = LATER_THAN_ANY_WALK  # or a long one would soon be asked for the password at every form
        session.save()

    def _at(self, whose: Mapping[str, str]) -> list[tuple[Client, str]]:
        """whose: who opens it, by the name of its address."""
        by = {places.BOSS: self.boss}
        return [(by.get(who, self.stranger), path) for name, who in whose.items() for path in self.paths[name]]

    def _pages_and_files(self) -> list[tuple[Client, str]]:
        return self._at(places.PAGES | {name: who for name, (who, _) in places.FILES.items()})

    def _all_forms(self) -> list[tuple[Client, JunkForm]]:
        """Those that stand on a page, and those that only ever are posted to."""
        found: dict[str, tuple[Client, JunkForm]] = {}
        for client, path in self._at(places.PAGES):
            answer = self._asked(client, "get", path, {})
            if answer is not None and answer.status_code == 200:
                for form in forms_on(answer.text, path):
                    found.setdefault(f"{form.method} {form.path} {sorted(form.kinds)}", (client, form))
        known = {form.path for _, form in found.values()}
        for path in (path for name in places.PRESSED for path in self.paths[name]):
            if path not in known:
                fields = {"do": [""], "why": [""], "words": [""]}
                found[f"post {path}"] = (self.boss, JunkForm(path, "post", fields, {}))
        left_out = {path for name in LEFT_OUT for path in self.paths[name]}
        return [each for each in found.values() if each[1].path not in left_out]

    def _asked(self, client: Client, method: str, path: str, sent: dict[str, Any]) -> Any:
        """The answer, or None after an error that no page answers."""
        try:
            answer = getattr(client, method)(path, sent)
        except Exception:  # noqa: BLE001  # whatever it is, it is what the walk looks for
            self._tell(f"{method} {path} {_short(sent)}\n{traceback.format_exc(limit=-4)}")
            return None
        if answer.status_code >= 500:
            self._tell(f"{method} {path} {_short(sent)} is answered {answer.status_code}")
        return answer

    def _tell(self, what: str) -> None:
        self.answered["wrong"] += 1
        if len(self.wrong) < MOST_TOLD:
            self.wrong.append(what)

    def post(self) -> None:
        client, form = self.chance.choice(self.forms)
        sent = self._sent(form)
        answer = self._asked(client, form.method, form.path, sent)
        if answer is None:
            return
        self.answered[f"{form.method} {answer.status_code}"] += 1
        if answer.status_code == 302:
            self._follow(client, answer["Location"])
        elif answer.status_code in (409, 422) and form.method == "post":
            typed = {name: values for name, values in sent.items() if isinstance(values, list) and len(values) == 1}
            for name in lost(answer.text, form.path, typed):
                self._tell(f"post {form.path} {_short(sent)} loses what was typed into {name}")
        answer.close()

    def _follow(self, client: Client, to: str) -> None:
        """The page that shows what was accepted opens."""
        if to.startswith("/log-in"):
            self._log_in()
        elif (shown := self._asked(client, "get", to.partition("#")[0], {})) is not None:
            shown.close()

    def _sent(self, form: JunkForm) -> dict[str, Any]:
        """What the form holds, with junk in some of its fields, one of them missing or sent twice, or a file."""
        sent: dict[str, Any] = {name: list(values) for name, values in form.fields.items() if name}
        names = [name for name in {**form.kinds, **form.fields} if name and name != "csrfmiddlewaretoken"]
        if form.buttons:
            name, value = self.chance.choice(form.buttons)
            sent[name] = [value]
        for name in self.chance.sample(names, min(len(names), self.chance.choice((0, 1, 1, 1, 2, 3, len(names))))):
            sent[name] = [junk(self.chance)]
        for name in (name for name, kind in form.kinds.items() if kind == "file"):
            sent[name] = junk_file(self.chance)
        if names and self._seldom():
            sent.pop(self.chance.choice(names), None)
        if names and self._seldom():
            sent[self.chance.choice(names)] = [junk(self.chance), junk(self.chance)]
        if names and self._seldom():
            sent[self.chance.choice(names)] = junk_file(self.chance)
        if self._seldom():
            sent[junk(self.chance)[:50] or "x"] = [junk(self.chance)]
        return sent

    def _seldom(self) -> bool:
        return self.chance.random() < 0.08

    def ask(self) -> None:
        """A link with something else behind its question mark, or in its place."""
        client, path = self.chance.choice(self._pages_and_files())
        bare = path.partition("?")[0]
        if self.chance.random() < 0.3:
            parts = bare.split("/")
            parts[self.chance.randrange(1, max(2, len(parts) - 1))] = _in_an_address(junk(self.chance))
            bare = "/".join(parts)
        names = self.chance.sample(ON_A_LINK, self.chance.choice((0, 1, 2, 4)))
        answer = self._asked(client, "get", bare, {name: junk(self.chance) for name in names})
        if answer is not None:
            self.answered[f"link {answer.status_code}"] += 1
            if answer.status_code == 302:
                self._follow(client, answer["Location"])
            answer.close()

    def look_at_all(self) -> None:
        """Every page still opens, or is gone with its row."""
        self._log_in()
        for client, path in self._pages_and_files():
            if (answer := self._asked(client, "get", path, {})) is not None:
                answer.close()


def walked(posts: int, seed: int) -> Walk:
    """One link in five is asked besides. Now and then, and in the end, every page is opened."""
    walk = Walk(seed)
    for nth in range(posts):
        if nth % MOST_SENT == 0:
            attempts.forget_all(SENT_BY_LINK)  # or most that is sent by links would soon be refused unread
        walk.post()
        if nth % 4 == 0:
            walk.ask()
        if nth % LOOKS_EVERY == LOOKS_EVERY - 1:
            walk.look_at_all()
    walk.look_at_all()
    return walk


def _in_an_address(text: str) -> str:
    return text.replace("/", "").replace("?", "").replace("#", "")[:LONGEST_PART] or "0"


def _short(sent: dict[str, Any]) -> str:
    said = {name: repr(value) if len(repr(value)) < 120 else f"{repr(value)[:100]}…" for name, value in sent.items()}
    return f"{said}"[:1500]
