"""Django's sessions, each with who is logged in with it: so that they can be listed and ended."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.contrib.sessions.backends import db
from django.contrib.sessions.base_session import AbstractBaseSession
from django.db import models

# What a log-in leaves in its session: when it began, when it was last used, and a plain word for the browser.
BEGAN, SEEN, SEEN_WITH = "log_in_began", "log_in_seen", "log_in_browser"
PROVED = "password_given"  # when its person last gave their password with it
SECOND = "second_factor_given"  # whether a code was given with it too
AWAITED = "code_awaited"  # of nobody's yet: whose right password was given, and waits for a code


class BrowserSession(AbstractBaseSession):
    """person: who is logged in; empty for somebody who books. The data are Django's own, signed."""

    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.CASCADE, null=True, blank=True, related_name="browser_sessions"
    )

    @classmethod
    def get_session_store_class(cls) -> type[SessionStore]:
        return SessionStore


class SessionStore(db.SessionStore):
    """As Django's documentation has it under "Extending database-backed session engines"."""

    @classmethod
    def get_model_class(cls) -> type[BrowserSession]:
        return BrowserSession

    def create_model_instance(self, data: dict[str, Any]) -> BrowserSession:
        row: BrowserSession = super().create_model_instance(data)  # type: ignore[assignment]  # of get_model_class()
        person_id = data.get(SESSION_KEY)
        row.person_id = int(person_id) if person_id else None
        return row
