"""The only call of the mail server: plain values become a mail, which is handed over."""

import contextlib
import email.message
import smtplib
from collections.abc import Iterable
from dataclasses import dataclass
from email.encoders import encode_base64
from email.mime.base import MIMEBase
from email.mime.text import MIMEText

from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.base import BaseEmailBackend

LOG_IN_WANTED = frozenset({530, 534, 535, 538})  # RFC 4954: about the garage's own log-in, so no mail is to blame
GOODBYE_S = 1.0  # the mail is there or it is not: an answer to QUIT is not worth more


@dataclass(frozen=True)
class Enclosed:
    """An attachment. content_type: with its parameters, as "text/calendar; method=PUBLISH"."""

    name: str
    content_type: str
    content: bytes


@dataclass(frozen=True)
class Mail:
    """number_words: part of the Message-ID and the same at each retry, so that a duplicate is recognised as one.
    language: of its reader, as a tag of BCP 47.
    """

    number_words: str
    sender: str
    reply_to: str
    to: str
    subject: str
    text: str
    html: str
    language: str
    enclosures: tuple[Enclosed, ...] = ()


class NotSent(Exception):
    """One sentence saying why.

    for_good: a retry would not help. for_all: it is about the server, so no other mail would go now. may_have_arrived:
    the connection was lost on the way.
    """

    def __init__(
        self, sentence: str, *, for_good: bool = False, for_all: bool = False, may_have_arrived: bool = False
    ) -> None:
        self.for_good, self.for_all, self.may_have_arrived = for_good, for_all, may_have_arrived
        super().__init__(sentence)


def hand_over(mail: Mail) -> None:
    """Raises NotSent if the mail server does not take it."""
    server, is_open = get_connection(), False
    try:
        server.open()
        is_open = True
        server.send_messages([_built(mail)])
    except smtplib.SMTPRecipientsRefused as error:
        codes = [code for code, _ in error.recipients.values()]
        for_good = all(code >= 500 for code in codes)
        raise NotSent(f"The mail server refuses the address (code {codes[0]}).", for_good=for_good) from error
    except smtplib.SMTPAuthenticationError as error:
        raise NotSent(f"The mail server refuses our log-in (code {error.smtp_code}).", for_all=True) from error
    except (smtplib.SMTPSenderRefused, smtplib.SMTPDataError) as error:
        raise _refused(error) from error
    except smtplib.SMTPResponseException as error:
        raise NotSent(f"The mail server lets nobody in (code {error.smtp_code}).", for_all=True) from error
    except (smtplib.SMTPException, OSError) as error:
        did = "broke off" if is_open else "cannot be reached"
        why = f"The mail server {did} ({type(error).__name__})."
        raise NotSent(why, for_all=True, may_have_arrived=is_open) from error
    except ValueError as error:  # Django raises this for an address or a subject with a line break in it
        raise NotSent("The address or the subject cannot be written into a mail.", for_good=True) from error
    finally:
        _hang_up(server)


def _hang_up(server: BaseEmailBackend) -> None:
    """Whatever else happens now, the mail has been taken or not."""
    with contextlib.suppress(smtplib.SMTPException, OSError):
        for talk in (getattr(server, "connection", None), getattr(server, "_partial_connection", None)):
            if talk is not None and talk.sock is not None:  # the second one is Django's, of a log-in that failed
                talk.sock.settimeout(GOODBYE_S)
        server.close()


def _refused(error: smtplib.SMTPResponseException) -> NotSent:
    """An answer from 500 on stands, however often it is asked for (RFC 5321, 4.2.1)."""
    code, said = error.smtp_code, error.smtp_error
    if code in LOG_IN_WANTED:
        return NotSent(f"The mail server refuses our log-in (code {code}).", for_all=True)
    words = " ".join((said.decode("utf-8", "replace") if isinstance(said, bytes) else said).split())
    return NotSent(
        f"The mail server refuses this mail (code {code}): {words or 'no reason given'}", for_good=code >= 500
    )


def _built(mail: Mail) -> EmailMultiAlternatives:
    headers = {
        "Message-ID": f"<{mail.number_words}>",  # RFC 5322
        "Auto-Submitted": "auto-generated",  # RFC 3834
        "Content-Language": mail.language,  # RFC 3282
    }
    built = EmailMultiAlternatives(
        mail.subject, mail.text, mail.sender, [mail.to], headers=headers, reply_to=[mail.reply_to]
    )
    built.attach_alternative(mail.html, "text/html")
    for part in _parts(mail.enclosures):
        built.attach(part)
    return built


def _parts(enclosures: Iterable[Enclosed]) -> Iterable[MIMEBase]:
    for enclosed in enclosures:
        wanted = email.message.Message()
        wanted["Content-Type"] = enclosed.content_type
        if wanted.get_content_maintype() == "text":
            part: MIMEBase = MIMEText(enclosed.content.decode(), wanted.get_content_subtype(), "utf-8")
        else:
            part = MIMEBase(wanted.get_content_maintype(), wanted.get_content_subtype())
            part.set_payload(enclosed.content)
            encode_base64(part)
        for name, value in (wanted.get_params() or [])[1:]:
            part.set_param(name, value)
        part.add_header("Content-Disposition", "attachment", filename=enclosed.name)
        yield part
