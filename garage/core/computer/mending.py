"""What is wrong with the garage's computer and programs now, in words for the boss: what, since when, and what to do.

Plain facts in; whoever asks has gathered them. A trouble whose fact is gone is gone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

LOW_BYTES = 1_000_000_000  # bytes: ten clips of the largest size; common practice, no source
LOW_SHARE = 0.1  # of a small disk
FULL_BYTES = 20_000_000  # bytes: less than a garage needs to start (garage/running/machine.py)
QUIET_AFTER = timedelta(minutes=5)  # a worker has something to do every 20 s; a long clip takes two minutes
TOLD_FOR = timedelta(minutes=10)  # that the database could not be used, since nobody sees the moment itself
MAIL_WAITS = timedelta(minutes=10)  # a server that is away for a minute is no trouble
OFTEN, OFTEN_WITHIN = 3, timedelta(hours=1)  # stops of one part that nobody puts down to chance
CLOCK_SLACK = timedelta(minutes=2)  # two clocks of one garage may differ by seconds

FULL, LOW, READ_ONLY = "disk-full", "disk-low", "read-only"
LOCKED, DATABASE_AWAY, BROKER = "database-locked", "database-away", "broker"
SET_ASIDE, MAIL, BACKUP, CLIPS, CLOCK, BOOK = "set-aside", "mail", "backup", "clips", "clock", "book"
BEAT, WORKER, HEARING = "beat", "worker", "hearing worker"
WAITS = {  # what waits while it is quiet
    BEAT: "reminders, and what is due by the clock, wait",
    WORKER: "mails, papers and reminders wait",
    HEARING: "clips wait to be listened to",
}


@dataclass(frozen=True)
class Disk:
    """folder: what lies on it. In bytes."""

    folder: str
    free_bytes: int
    size_bytes: int


@dataclass(frozen=True)
class MailWaits:
    """since: when the first was written of those that the server has not taken, none having gone out after it."""

    since: datetime
    count: int
    said: str


@dataclass(frozen=True)
class GarageFacts:
    """Everything that can be wrong; what is left out is well.

    heard: when each worker gave its last sign of life. stops: when each part of the garage has stopped on its own.
    database: when somebody last met a locked or an unreachable one. set_aside: how many messages, since when, where.
    latest_written: of all that was ever noted. clips: the visits whose clip cannot be heard, and since when. book: what
    does not agree in it, the first few as sentences, of how many, and when that was found.
    """

    disk: Disk | None = None
    backups: str = ""
    read_only: str = ""
    database: Mapping[str, datetime] = field(default_factory=dict)
    broker_away: str = ""
    set_aside: tuple[int, datetime | None, str] = (0, None, "")
    heard: Mapping[str, datetime] = field(default_factory=dict)
    stops: Mapping[str, Sequence[datetime]] = field(default_factory=dict)
    mail: MailWaits | None = None
    backup: tuple[str, datetime | None] = ("", None)
    clips: tuple[Sequence[int], datetime | None] = ((), None)
    latest_written: datetime | None = None
    book: tuple[Sequence[str], int, datetime | None] = ((), 0, None)


@dataclass(frozen=True)
class Trouble:
    """kind: the same for as long as it lasts. since: None if nobody can know. visits: to look at."""

    kind: str
    what: str
    do: str
    since: datetime | None = None
    visits: tuple[int, ...] = ()


def troubles(facts: GarageFacts, *, now: datetime) -> list[Trouble]:
    """The worst first. Empty if all is well.

    >>> from datetime import UTC
    >>> now = datetime(2026, 11, 30, 10, tzinfo=UTC)
    >>> troubles(GarageFacts(), now=now)
    []
    >>> troubles(GarageFacts(read_only="/srv/kept"), now=now)[0].what
    'The folder /srv/kept cannot be written to, so nothing is saved.'
    """
    found = (_disk(facts), _database(facts, now), _book(facts), _broker(facts), _workers(facts, now), _data(facts, now))
    return [trouble for part in found for trouble in part]


def _disk(facts: GarageFacts) -> Iterator[Trouble]:
    if facts.read_only:
        yield Trouble(
            READ_ONLY,
            f"The folder {facts.read_only} cannot be written to, so nothing is saved.",
            "If it is a disk that was made read-only, it is likely to have a fault: copy it first, then look at what "
            "the system says of it. Otherwise give Tickover the right to write there.",
        )
    disk = facts.disk
    if disk is None:
        return
    low_bytes = min(LOW_BYTES, int(LOW_SHARE * disk.size_bytes))
    free = f"{_size(disk.free_bytes)} of {_size(disk.size_bytes)} is free"
    delete = "Delete what nobody needs, or move it to another disk"
    delete += f": the backups in {facts.backups} are a place to look." if facts.backups else "."
    if disk.free_bytes < FULL_BYTES:
        words = f"The disk that holds {disk.folder} is full: {free}. Nothing can be saved; pages can still be read."
        yield Trouble(FULL, words, delete)
    elif disk.free_bytes < low_bytes:
        words = f"The disk that holds {disk.folder} is nearly full: {free}. It should not go below {_size(low_bytes)}."
        yield Trouble(LOW, words, delete)


def _database(facts: GarageFacts, now: datetime) -> Iterator[Trouble]:
    met = {kind: at for kind, at in facts.database.items() if timedelta(0) <= now - at < TOLD_FOR}
    if LOCKED in met:
        yield Trouble(
            LOCKED,
            "The database was locked for so long that somebody was told to try again. Nothing was half saved.",
            "Another program holds it: a copy, a virus scanner or a tool that has the file open. Close that.",
            met[LOCKED],
        )
    if DATABASE_AWAY in met:
        yield Trouble(
            DATABASE_AWAY,
            "The database could not be used, and somebody was told to try again. Nothing was half saved.",
            "See what Tickover printed, and whether the database server runs.",
            met[DATABASE_AWAY],
        )


def _book(facts: GarageFacts) -> Iterator[Trouble]:
    sentences, count, found_at = facts.book
    if count:
        more = f" And {count - len(sentences)} more." if count > len(sentences) else ""
        yield Trouble(
            BOOK,
            f"The book is not as it was issued. {' '.join(sentences)}{more}",
            "Somebody or something has changed the database past Tickover. Keep a copy as it is now, and compare it "
            "with a backup of before and with the papers that were mailed: each has its value in the chain on it.",
            found_at,
        )


def _broker(facts: GarageFacts) -> Iterator[Trouble]:
    if facts.broker_away:
        yield Trouble(
            BROKER,
            f"What hands work to the workers does not answer: {facts.broker_away}.",
            "Start it again. Mails, papers and clips wait meanwhile, and nothing is lost.",
        )
    count, since, folder = facts.set_aside
    if count:
        words = "A message to the workers" if count == 1 else f"{count} messages to the workers"
        yield Trouble(
            SET_ASIDE,
            f"{words} could not be read and {'was' if count == 1 else 'were'} set aside in {folder}.",
            "No work is lost by it, since everything is looked up again. Delete what lies there. If more come without "
            "a power cut before it, have the disk looked at.",
            since,
        )


def _workers(facts: GarageFacts, now: datetime) -> Iterator[Trouble]:
    for part, heard_at in facts.heard.items():
        if now - heard_at > QUIET_AFTER:
            yield Trouble(
                f"quiet-{part}",
                f"The {part} has given no sign of life: {WAITS[part]}.",
                "Tickover starts it again by itself. If this stays, stop Tickover, start it, and see what it prints.",
                heard_at,
            )
    for part, stops in facts.stops.items():
        lately = [at for at in stops if timedelta(0) <= now - at < OFTEN_WITHIN]
        if len(lately) >= OFTEN:
            yield Trouble(
                f"stops-{part}",
                f"The {part} stops again and again: {len(lately)} times within the hour.",
                "It is started again each time. See what Tickover prints, and whether there is memory enough.",
                min(lately),
            )


def _data(facts: GarageFacts, now: datetime) -> Iterator[Trouble]:
    mail = facts.mail
    if mail and now - mail.since >= MAIL_WAITS:
        wait = "1 mail waits" if mail.count == 1 else f"{mail.count} mails wait"
        yield Trouble(
            MAIL,
            f"The mail server takes nothing, and {wait}. It said: {mail.said}",
            "See whether it runs, and whether EMAIL_URL is right. What waits goes out by itself once it answers.",
            mail.since,
        )
    sentence, failed_at = facts.backup
    if sentence:
        yield Trouble(
            BACKUP,
            f"The backup: {sentence}",
            "The page of the shop says when the last good one was made, and where it lies.",
            failed_at,
        )
    numbers, since = facts.clips
    if numbers:
        words = "A clip cannot" if len(numbers) == 1 else f"The clips of {len(numbers)} visits cannot"
        yield Trouble(
            CLIPS,
            f"{words} be listened to by the program.",
            "Listen to it yourself and say what you hear, or ask the owner for another one.",
            since,
            tuple(numbers),
        )
    if facts.latest_written and facts.latest_written - now > CLOCK_SLACK:
        ahead_min = round((facts.latest_written - now) / timedelta(minutes=1))
        yield Trouble(
            CLOCK,
            f"The clock of this computer was put back: the last thing noted here is {ahead_min} min ahead of it.",
            "Set the clock by a time server. Nothing is lost; until the clock has caught up, times are out of order.",
        )


def _size(size_bytes: int) -> str:
    """In MB below one GB: "640 MB", "31.5 GB"."""
    return f"{size_bytes / 1e9:.1f} GB" if size_bytes >= 1e9 else f"{size_bytes / 1e6:.0f} MB"
