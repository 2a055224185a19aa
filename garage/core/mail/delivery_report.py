"""A report that a mail server sends back when a mail cannot be delivered, read from its source (RFC 3464)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from email import message_from_string, policy
from email.message import Message

from garage.core.errors import BadInput, Unquoted

FAILED = "failed"
MOST = 500_000  # characters: a report with the whole mail returned and its files
ALLOWED = "the whole source of the report, which holds lines such as “Final-Recipient:” and “Action: failed”"
_OURS = re.compile(r"<?tickover\.(\d+)\.\d{14}@")  # as written into the Message-ID of each mail


@dataclass(frozen=True, slots=True)
class Undelivered:
    """One address that was not reached. status: as in RFC 3463, such as 5.1.1. why: what the other server said."""

    address: str
    status: str
    why: str

    @property
    def sentence(self) -> str:
        """Such as: The address was reported as not reached (5.1.1): no such mailbox."""
        said = f": {self.why}" if self.why else ""
        return f"A report says that it did not arrive ({self.status or 'no code'}){said}"


@dataclass(frozen=True, slots=True)
class DeliveryReport:
    """message_number: the number of our message, if the report names it. undelivered: the addresses not reached; empty
    when it only tells of a delay or of a delivery.
    """

    message_number: int | None
    undelivered: tuple[Undelivered, ...]


def read_report(source: str) -> DeliveryReport:
    """Raises BadInput if it is no delivery report.

    source: the mail as it came, with its headers; or only its part message/delivery-status.

    >>> read_report("Final-Recipient: rfc822; pat@example.org\\nAction: failed\\nStatus: 5.1.1\\n").undelivered
    (Undelivered(address='pat@example.org', status='5.1.1', why=''),)
    """
    if len(source) > MOST:
        raise BadInput("The report", Unquoted(f"{len(source)} characters long"), f"at most {MOST}")
    source = source.encode("utf-8", "replace").decode().lstrip()  # half characters break the library's headers
    try:
        blocks = list(_blocks(source))
    except RecursionError as error:  # mails within mails within mails: the library goes down into each
        raise BadInput("The report", Unquoted("a mail with too many mails in it"), ALLOWED) from error
    told = [block for block in blocks if block["Final-Recipient"] or block["Original-Recipient"]]
    if not told:
        raise BadInput("The report", Unquoted("none that says whom it was not delivered to"), ALLOWED)
    number = _OURS.search(source)
    failed = tuple(_undelivered(block) for block in told if _field(block, "Action").casefold() == FAILED)
    return DeliveryReport(int(number.group(1)) if number else None, failed)


def _blocks(source: str) -> Iterator[Message]:
    """The groups of fields of each part message/delivery-status. Without such a part the text is read as one."""
    mail = message_from_string(source, policy=policy.compat32)
    statuses = [part for part in mail.walk() if part.get_content_type() == "message/delivery-status"]
    for part in statuses:
        payload = part.get_payload()
        yield from (block for block in payload if isinstance(block, Message)) if isinstance(payload, list) else ()
    if not statuses:
        for group in re.split(r"\r?\n[ \t]*\r?\n", source):
            yield message_from_string(group.strip() + "\n\n", policy=policy.compat32)


def _undelivered(block: Message) -> Undelivered:
    """The address as it was written to, if the report says so; it may have been forwarded from there."""
    address = _after_its_type(_field(block, "Original-Recipient") or _field(block, "Final-Recipient"))
    why = _after_its_type(_field(block, "Diagnostic-Code"))
    return Undelivered(address.strip("<>"), _field(block, "Status").split(" ")[0], why[:200])


def _field(block: Message, name: str) -> str:
    """In one line."""
    return " ".join(str(block.get(name, "")).split())


def _after_its_type(field: str) -> str:
    """Without "rfc822;", "smtp;" and the like in front."""
    return field.partition(";")[2].strip() if ";" in field else field
