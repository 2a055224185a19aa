"""What a personal link opens is its own visit's: over every address with a token in it, by every object of another
owner. An address that is new is among them by itself; one whose token or object is unknown here fails.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.base import ContentFile
from django.urls import reverse
from django.utils import timezone

from diagnostics.changes import findings, sheets
from diagnostics.hearing.models.clips import Clip
from diagnostics.models.sheets import Finding
from garage.models.people import Person
from garage.models.shop import Station
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Photo, SoldPiece, Visit
from garage.reads import links
from garage.reads.secret_links import feed_token, wall_token
from jobs.models.book import CreditNote, Invoice, KeptDeposit, Paper
from jobs.models.consents import Consent
from tests.factories import garage, jobs
from tests.factories.diagnostics import heard_clip
from tests.rules.test_roles import patterns

pytestmark = pytest.mark.django_db
PURPOSE = {"sheet": links.SHEET, "visit": links.VISIT}  # by how the address begins
OF_THE_WORKSHOP = {"feed", "wall-by-link"}
MINE = {"name": "Jocasta Quillfeather", "email": "jocasta@example.org", "telephone": "07700 900471"}
THEIRS = {"name": "Barnaby Otherwise", "email": "barnaby@example.org", "telephone": "07700 900999"}
# One owner's; a question is everybody's.
OBJECTS = {"clip_id", "offer_id", "number", "consent_id", "photo_id", "estimate_id"}


@dataclass(frozen=True)
class Party:
    """One owner's visit and what an address may name of it."""

    visit: Visit
    objects: dict[str, Any]
    signs: tuple[str, ...]


def party(owner: dict[str, str], plate: str, note: str) -> Party:
    machine = garage.machine(owner=garage.owner(**owner), registration=plate, words=f"{note} Special")
    visit = garage.visit(machine=machine, wants=f"{note} wants")
    clip = heard_clip(visit)
    Clip.objects.filter(pk=clip.pk).update(name=f"{note}.m4a")
    clip.file.save("x.m4a", ContentFile(f"sound of {note}".encode()))
    sheets.answer(visit, question="trouble", given="misfires", now=timezone.now())
    findings.record(visit, question="damp", answer="yes", source=Finding.OWNER, by=garage.person(), now=timezone.now())
    estimate_id = jobs.estimate(visit, text=note).pk
    number = billed(visit, note)
    signs = (*owner.values(), plate, note)
    objects = {"clip_id": clip.pk, "offer_id": offered(visit), "number": number, "estimate_id": estimate_id}
    return Party(visit, objects | asked(visit, note), signs)


def asked(visit: Visit, note: str) -> dict[str, int]:
    """About more work, with a photo."""
    by, now = garage.person(), timezone.now()
    photo = Photo(visit=visit, taken_for="card", words=note, at=now, by=by)
    photo.file.save("x.jpg", ContentFile(f"picture of {note}".encode()))
    shown = [{"id": photo.pk, "sha256": "", "words": note}]
    consent = Consent.objects.create(visit=visit, words=note, price=10, photos=shown, asked_at=now, asked_by=by)
    return {"consent_id": consent.pk, "photo_id": photo.pk}


def billed(visit: Visit, note: str) -> int:
    """Of its work, of a deposit that was kept, and of what was given back of that. The credit note's number."""
    by, now = garage.boss(), timezone.now()
    invoice, kept_paper, credit_paper = (paper(visit, note, by) for _ in range(3))
    common = {"at": now, "by": by, "why": note}
    kept = KeptDeposit.objects.create(visit=visit, invoice=kept_paper, **common)
    CreditNote.objects.create(kept=kept, invoice=credit_paper, **common)
    assert invoice.number < credit_paper.number
    return credit_paper.number


def paper(visit: Visit, note: str, by: Person) -> Invoice:
    now, number = timezone.now(), Invoice.objects.count() + 1
    sums = dict.fromkeys(("net", "vat", "gross", "deposit"), 10)
    told = {"seller": {}, "buyer": {"name": visit.owner.name}, "machine": note, "vat_by_rate": []}
    days = {"issued_on": now.date(), "supplied_on": now.date(), "issued_at": now, "frozen_at": now}
    invoice = Invoice.objects.create(number=number, visit=visit, issued_by=by, **days, **told, **sums)
    row = Paper(invoice=invoice, wanted_at=now, made_at=now)
    row.file.save(f"{number}.pdf", ContentFile(f"%PDF for {visit.owner.name}".encode()))
    return invoice


def offered(visit: Visit) -> int:
    now = timezone.now()
    until, times = now + timedelta(days=1), {"starts_at": now + timedelta(days=3), "minutes": 90}
    hold = Hold.objects.create(
        browser=f"standby-{visit.number}", address_key="x", kind=visit.kind, began_at=now, expires_at=until, **times
    )
    time = FreedTime.objects.create(
        at="roller", place=1, visit=visit, hold=hold, freed_at=now, why=FreedTime.MOVED, price=visit.price, **times
    )
    return Offer.objects.create(time=time, visit=visit, offered_at=now, open_until=until).pk


@pytest.fixture
def two() -> tuple[Party, Party]:
    garage.shop()
    mine, theirs = party(MINE, "QF19 JOC", "Tansy"), party(THEIRS, "OW20 BAR", "Lovage")
    # Both on the rollers in turn that day: what the pages show of a day has both of them.
    for place, one in enumerate((mine, theirs), start=1):
        SoldPiece.objects.create(at="roller", place=place, begins_at=one.visit.starts_at, visit=one.visit)
    return mine, theirs


def behind_a_token() -> list[Any]:
    return [pattern for pattern in patterns() if "token" in pattern.pattern.regex.groupindex]


def address(pattern: Any, whose: Party, objects: Party) -> str:
    names = set(pattern.pattern.regex.groupindex)
    if pattern.name in OF_THE_WORKSHOP:
        tokens = {"feed": feed_token(Station.objects.first()), "wall-by-link": wall_token(garage.shop())}
        return reverse(pattern.name, kwargs={"token": tokens[pattern.name]})
    purpose = PURPOSE[re.split(r"[/<]", str(pattern.pattern))[0]]
    purpose = links.REMINDERS if pattern.name == "owner-reminders" else purpose
    known = {"token": links.token(whose.visit, purpose), "question": "trouble"} | objects.objects
    return reverse(pattern.name, kwargs={name: known[name] for name in names})


def all_of(answer: Any) -> str:
    """Head and body, as the browser gets it."""
    body = b"".join(answer.streaming_content) if answer.streaming else answer.content
    return str(answer.headers) + body.decode("utf-8", "replace")


def test_nothing_of_another_owner_stands_behind_any_link(two, client):
    mine, theirs = two
    seen = {}
    for pattern in behind_a_token():
        answer = client.get(address(pattern, mine, mine))
        text = all_of(answer)
        assert answer.status_code < 500, pattern.name
        assert [sign for sign in theirs.signs if sign in text] == [], pattern.name
        seen[pattern.name] = [sign for sign in mine.signs if sign in text]
    assert len(seen) > 25
    assert len([name for name, signs in seen.items() if signs]) > 12  # it would be seen
    assert seen["owner-clip-sound"]
    assert seen["owner-invoice"]
    assert all(not seen[name] for name in OF_THE_WORKSHOP), "calendar and wall name nobody"


@pytest.mark.parametrize("method", ["get", "post"])
def test_an_object_of_another_owner_is_not_there_for_ones_own_link(two, client, method):
    mine, theirs = two
    asked = [one for one in behind_a_token() if OBJECTS & set(one.pattern.regex.groupindex)]
    assert len(asked) > 6
    for pattern in asked:
        answer = getattr(client, method)(address(pattern, mine, theirs))
        assert answer.status_code in (404, 405), pattern.name
        assert [sign for sign in theirs.signs if sign in all_of(answer)] == [], pattern.name
    assert Clip.objects.count() == 2


def test_a_link_opens_no_address_of_another_purpose_and_none_with_another_visits_number(two, client):
    mine, theirs = two
    for pattern in behind_a_token():
        if pattern.name in OF_THE_WORKSHOP:
            continue
        own = re.split(r"[/<]", str(pattern.pattern))[0]
        other = links.token(mine.visit, links.SHEET if own == "visit" else links.VISIT)
        signature = links.token(mine.visit, PURPOSE[own]).split(".")[1]
        forged = links.token(theirs.visit, PURPOSE[own]).split(".")[0] + "." + signature
        for token in (other, forged):
            path = address(pattern, mine, mine).split("/")
            path[2] = token
            assert client.get("/".join(path)).status_code == 410, pattern.name
