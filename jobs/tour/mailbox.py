"""A mail backend for the tour: each mail becomes a file, as a mail server would get it."""

from __future__ import annotations

from collections.abc import Sequence

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

FOLDER = "mails"  # under DATA


class OneFileEach(BaseEmailBackend):
    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        folder = settings.DATA / FOLDER
        for mail in email_messages:
            number = len(list(folder.iterdir())) + 1
            (folder / f"{number:03d}.eml").write_bytes(mail.message().as_bytes(linesep="\r\n"))  # type: ignore[call-arg]  # Django's own message takes it
        return len(email_messages)
