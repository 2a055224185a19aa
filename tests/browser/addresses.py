"""An address for each name of the URL configuration, found in a garage with the demo: what the walk goes through.

PAGES, ONCE, FILES and PRESSED together must name every URL there is; a new one without a place here fails the walk.
"""

from __future__ import annotations

import io
import json
import time
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from diagnostics.core.guides.guides import GUIDES
from diagnostics.core.judging.evidence import REV_OUT
from diagnostics.core.learning.scores import SUBJECTS
from diagnostics.hearing.changes import taking_in
from diagnostics.hearing.models.clips import Clip
from diagnostics.hearing.tasks import hear_clips
from diagnostics.models.causes import Cause
from diagnostics.models.sheets import Sheet
from diagnostics.reads.filled_sheet import filled_sheet
from diagnostics.reads.judgement import latest
from garage.changes.shop import lists
from garage.changes.visit import bookings, photos, visits
from garage.core import states
from garage.core.mail.wording import WORDED
from garage.core.selling.owner_choice import ASKED, MYSELF
from garage.models.list_files import ListFile
from garage.models.messages import Enclosure
from garage.models.owners import Machine
from garage.models.people import Person
from garage.models.shop import Shop, Station, VisitKind
from garage.models.standby import FreedTime, Offer
from garage.models.visits import Hold, Visit
from garage.reads import access, links
from garage.reads.free import asked_online, free_days
from garage.reads.secret_links import feed_token, wall_token
from garage.reads.shop import the_shop
from jobs.changes import consents, credit_notes, estimates, kept_deposits, part_orders, parts, payments
from jobs.changes.runs import send
from jobs.models.book import CreditNote, HandLine, Invoice
from jobs.models.cards import Labour
from jobs.models.estimates import Estimate
from jobs.reads.access import kept_deposit_of
from tests.browser import rev_out
from tests.factories import booking, jobs, runs

LATE_ENOUGH = 8  # days: nobody else in the stories books then
HEARD_S = 60.0  # s, a clip; generous, since several runs may share two cores
ANYBODY, HOLDER, BOOKED, BOSS = "anybody", "holder", "booked", "boss"  # who opens it; a holder has a time held open

PAGES = {
    "front": ANYBODY,
    "ask-me": ANYBODY,
    "guides": ANYBODY,
    "guide": ANYBODY,
    "sheet": ANYBODY,
    "sheet-question": ANYBODY,
    "sheet-send": ANYBODY,
    "sheet-outcome": ANYBODY,
    "sheet-clip": ANYBODY,
    "book-time": ANYBODY,
    "book-who": HOLDER,
    "book-look": HOLDER,
    "booked": BOOKED,
    "log-in": ANYBODY,
    "privacy": ANYBODY,
    "begin-open": BOSS,
    "owner-confirm": ANYBODY,
    "owner-visit": ANYBODY,
    "owner-report": ANYBODY,
    "owner-call-off": ANYBODY,
    "owner-move": ANYBODY,
    "owner-choose": ANYBODY,
    "owner-leave": ANYBODY,
    "owner-leave-look": ANYBODY,
    "owner-guide": ANYBODY,
    "owner-guides": ANYBODY,
    "owner-time": ANYBODY,
    "owner-standby": ANYBODY,
    "owner-offer": ANYBODY,
    "owner-reminders": ANYBODY,
    "owner-asked": ANYBODY,
    "owner-estimate": ANYBODY,
    "owner-clip": ANYBODY,
    "findings": BOSS,
    "clip": BOSS,
    "gate": BOSS,
    "desk-booking": BOSS,
    "visit-move": BOSS,
    "visit-safety": BOSS,
    "visit-move-look": BOSS,
    "visit-time": BOSS,
    "visit-bench-limit": BOSS,
    "visit-standby": BOSS,
    "visit-call-off": BOSS,
    "visit-put-off": BOSS,
    "visit-write": BOSS,
    "visit-guides": BOSS,
    "day-sheet": BOSS,
    "day-sheet-on": BOSS,
    "week": BOSS,
    "week-of": BOSS,
    "wall": BOSS,
    "wall-by-link": ANYBODY,
    "fix-first": BOSS,
    "ring-list": BOSS,
    "standby": BOSS,
    "take-in": BOSS,
    "visit-link": BOSS,
    "sent": BOSS,
    "sent-message": BOSS,
    "delivery-report": BOSS,
    "owners": BOSS,
    "owners-doubles": BOSS,
    "owner": BOSS,
    "owner-erase": BOSS,
    "machine-measures": BOSS,
    "shop": BOSS,
    "shop-hours": BOSS,
    "shop-days": BOSS,
    "shop-kept-free": BOSS,
    "shop-stations": BOSS,
    "shop-kinds": BOSS,
    "shop-kind": BOSS,
    "shop-machine-kinds": BOSS,
    "shop-machine-kind": BOSS,
    "shop-lists": BOSS,
    "shop-list": BOSS,
    "shop-everything": BOSS,
    "shop-packers": BOSS,
    "shop-messages": BOSS,
    "shop-message": BOSS,
    "shop-people": BOSS,
    "shop-person": BOSS,
    "account": BOSS,
    "needs-mending": BOSS,
    "second-factor": BOSS,
    "search": BOSS,
    "cards": BOSS,
    "visits": BOSS,
    "visit": BOSS,
    "card": BOSS,
    "card-labour-right": BOSS,
    "card-cause-correct": BOSS,
    "card-cause-late": BOSS,
    "card-ask": BOSS,
    "card-asked": BOSS,
    "card-ask-again": BOSS,
    "visit-runs": BOSS,
    "visit-runs-wall": BOSS,
    "run-file": BOSS,
    "shop-rollers": BOSS,
    "shop-parts": BOSS,
    "shop-part": BOSS,
    "invoice-issue": BOSS,
    "invoice-above": BOSS,
    "estimate": BOSS,
    "estimate-draft": BOSS,
    "deposit-add": BOSS,
    "deposit-keep": BOSS,
    "deposit-wait": BOSS,
    "credit-note-issue": BOSS,
    "invoice-credit": BOSS,
    "invoice": BOSS,
    "the-book": BOSS,
    "book-vat": BOSS,
    "counter-sale": BOSS,
    "book-owed": BOSS,
    "owner-statement": BOSS,
    "learned": BOSS,
    "learned-weeks": BOSS,
    "machine": BOSS,
    "machine-degrees": BOSS,
    "machine-packers": BOSS,
}
# Only while there is no boss, or nothing to book yet: test_first_start.py walks them. Only between password and code:
# test_pages.py does.
ONCE = ("begin", "begin-page", "log-in-code")
FILES = {  # name: who, and what it is served as
    "day-sheet-pdf": (BOSS, "application/pdf"),
    "feed": (ANYBODY, "text/calendar"),
    "card-pdf": (BOSS, "application/pdf"),
    "book-journal": (BOSS, "text/csv"),
    "owner-statement-pdf": (BOSS, "application/pdf"),
    "visit-report-pdf": (BOSS, "application/pdf"),
    "owner-report-pdf": (ANYBODY, "application/pdf"),
    "owner-curve": (ANYBODY, "image/svg+xml"),
    "visit-runs-picture": (BOSS, "image/svg+xml"),
    "visit-runs-wall-picture": (BOSS, "image/svg+xml"),
    "run-csv": (BOSS, "text/csv"),
    "invoice-pdf": (BOSS, "application/pdf"),
    "estimate-pdf": (BOSS, "application/pdf"),
    "invoice-ubl": (BOSS, "application/xml"),
    "book-archive": (BOSS, "application/zip"),
    "owner-invoice": (ANYBODY, "application/pdf"),
    "owner-data": (BOSS, "application/zip"),
    "owner-asked-photo": (ANYBODY, "image/jpeg"),
    "owner-estimate-pdf": (ANYBODY, "application/pdf"),
    "owner-credit-note": (ANYBODY, "application/pdf"),
    "sheet-clip-sound": (ANYBODY, "audio/mpeg"),
    "sheet-clip-picture": (ANYBODY, "image/svg+xml"),
    "owner-clip-sound": (ANYBODY, "audio/mpeg"),
    "owner-clip-picture": (ANYBODY, "image/svg+xml"),
    "clip-sound": (BOSS, "audio/mpeg"),
    "clip-picture": (BOSS, "image/svg+xml"),
    "strobe-picture": (BOSS, "image/svg+xml"),
    "photo": (BOSS, "image/jpeg"),
    "learned-bands": (BOSS, "image/svg+xml"),
    "learned-faults": (BOSS, "image/svg+xml"),
    "visit-link-picture": (BOSS, "image/png"),
    "enclosure": (BOSS, "text/calendar"),
    "security-txt": (ANYBODY, "text/plain"),
}
PRESSED = (  # only ever posted to: the stories and the walk through the shop press each of them
    *("book-hold", "book-confirm", "fresh-link", "log-out", "language", "sheet-clip-delete"),
    *("plan-accept", "step-begin", "step-pause", "step-late", "step-end", "step-pin", "step-pin-look"),
    *("ring-list-done", "ring-list-nobody", "ring-list-confirm", "photo-add", "photo-delete"),
    *("visit-link-revoke", "visit-link-send", "sent-again", "sent-told"),
    *("visit-choice", "visit-offer", "visit-did-not-come", "visit-state", "visit-collected"),
    *("visit-go-on", "owner-go-on"),
    *("visit-come-back", "visit-come-back-charge"),
    *("owners-join", "machines-join", "join-undo"),
    *("shop-day-forget", "shop-station-rename", "shop-station-remove", "shop-station-feed", "shop-wall"),
    *("shop-packer-alter", "shop-packer-remove", "shop-list-take", "shop-list-forget"),
    *("everything-ask", "everything-take", "everything-forget"),
    *("shop-person-hours", "shop-person-away", "shop-person-there"),
    *("log-in-end", "log-ins-end", "shop-person-log-ins", "account-feed"),
    *("round-away", "round-again"),
    *("finding-record", "judgement-act", "judgement-leave", "gate-begin", "gate-end", "gate-override"),
    *("gate-answer", "gate-bench-end", "gate-bench-again", "gate-on", "gate-off"),
    *("gate-packers", "gate-packers-back", "remark-told", "remark-put-right", "finding-right", "finding-unright"),
    *("clip-add", "clip-verdict", "clip-verdict-back", "clip-again", "clip-delete"),
    *("card-labour-start", "card-labour-stop", "card-line-strike", "card-close", "card-reopen"),
    *("card-write", "card-add", "card-service", "card-service-off"),
    *("card-cause-withdraw", "card-cause-none"),
    *("card-came-back", "card-did-not-come-back"),
    *("card-outcome", "card-outcome-back"),
    "run-strike",
    *("shop-part-remove", "card-part-came", "card-part-off"),
    *("payment-add", "hand-line-add", "hand-line-strike"),
    *("visit-estimate", "machine-estimate", "estimate-line-strike", "estimate-discard"),
    *("estimate-withdraw", "estimate-take-over", "estimate-use"),
)


def names(patterns: list | None = None) -> Iterator[str]:
    """Every name of the URL configuration."""
    for pattern in get_resolver().url_patterns if patterns is None else patterns:
        if isinstance(pattern, URLResolver):
            yield from names(pattern.url_patterns)
        elif isinstance(pattern, URLPattern):
            yield pattern.name or str(pattern.pattern)


def addresses() -> dict[str, list[str]]:
    """Paths by name. A name without parameters needs nothing; sheets are opened at each kind of question."""
    found = {name: [reverse(name, args=args) for args in lists] for name, lists in _arguments().items()}
    for look in ("visit-move-look", "owner-leave-look"):
        found[look] = [f"{path}?starts_at=2030-01-02T10:00:00Z" for path in found[look]]
    for wall in ("wall", "wall-by-link"):
        found[wall] = [f"{path}?live" for path in found.get(wall, [reverse("wall")])]  # where a script leads at once
    found["book-archive"] = [f"{reverse('book-archive')}?first=2000-01-01&last=2099-12-31"]
    found["search"] = [f"{reverse('search')}{sought}" for sought in ("", "?q=Corrick", "?q=nobody-at-all")]
    for name in (*PAGES, *FILES, *PRESSED):
        if name not in found:
            found[name] = [reverse(name)]
    return found


def held_visit() -> Visit:
    """Booked online as with a mail server, and not confirmed yet."""
    kind, now = access.offered_kinds().first(), timezone.now()
    free = free_days(asked_online(kind, the_shop()), count=LATE_ENOUGH, now=now)[-1]
    draft = booking.draft(kind, free.times[0], email="held@example.org", telephone="07700 900555")
    with override_settings(EMAIL_URL="smtp://127.0.0.1:25"):
        return bookings.book_online(draft, browser="walk", address_key="walk", now=now)


def _hand_line(visit: Visit, by: Person) -> HandLine:
    values = {"kind": "goodwill", "words": "For the wait", "quantity": 1, "price_each": -1}
    return HandLine.objects.create(visit=visit, at=timezone.now(), by=by, **values)


def _arguments() -> dict[str, list[list[object]]]:
    sheet = Visit.objects.filter(sheet__sent_at=None, sheet__isnull=False, state=states.BOOKED).first()
    asked = Visit.objects.exclude(route_asked="").first()
    sent = Sheet.objects.filter(sent_at__isnull=False, visit__arrived_at=None).first().visit
    no_time = Visit.objects.filter(state=states.TO_PUT_RIGHT, arrived_at=None).first()
    mended = Visit.objects.filter(choice=MYSELF).first()
    chooses = Visit.objects.filter(choice=ASKED).first()
    offer = open_offer(sheet, chooses)
    paid = Invoice.objects.get(number=1).visit
    here = Visit.objects.filter(state=states.ON_THE_BENCH).first() or Visit.objects.filter(gates__isnull=False).first()
    may_go_on = open_offer(here, chooses, in_the_building=True)
    held = held_visit()
    done = Visit.objects.filter(card__closed_at__isnull=False, invoices=None).exclude(state=states.COLLECTED).first()
    boss = Person.objects.get(role=Person.BOSS)
    note = _credit_note(paid.machine, boss)
    labour = Labour.objects.filter(card__visit=paid).first()
    cause = Cause.objects.filter(visit=paid, found_good=False).first()
    enclosure = Enclosure.objects.filter(content_type__startswith="text/calendar").first()
    numbers = [[visit.number] for visit in (asked, here, paid)]
    clip = _clip(sent)
    run, file = _run(here, boss)
    listed, ordered = _part(boss), _ordered(here, boss)
    shown = _photo(here, boss)
    asks = {"words": "As on the photo.", "price": Decimal(40), "photos": [shown]}
    asked_with = consents.ask(here, **asks, by=boss, now=timezone.now())
    estimate, drafted = _estimates(here, boss)
    sheet_token, sent_token = links.token(sheet, links.SHEET), links.token(sent, links.SHEET)
    return {
        "sheet": [[sheet_token], [sent_token]],
        "sheet-question": [
            *[[sheet_token, question.id] for question in filled_sheet(sheet).asked if question.id != REV_OUT],
            [sent_token, REV_OUT],  # asked only after others, which the sent sheet has answered
        ],
        "guide": [[guide.slug] for guide in GUIDES],
        "visit-guides": [[asked.number]],
        "sheet-send": [[sheet_token], [sent_token]],
        "sheet-outcome": [[sent_token]],
        "sheet-clip": [
            [sheet_token],
            [sent_token],
            [links.token(asked, links.SHEET)],
            [links.token(no_time, links.SHEET)],
        ],
        "clip-add": [[sent.number]],
        **{f"clip{of}": [[sent.number, clip]] for of in ("", "-sound", "-picture")},
        **{f"clip-{act}": [[sent.number, clip]] for act in ("verdict", "verdict-back", "again", "delete")},
        **{f"sheet-clip-{what}": [[sent_token, clip]] for what in ("sound", "picture", "delete")},
        "owner-clip": [[links.token(sent, links.VISIT)]],
        **{f"owner-clip-{what}": [[links.token(sent, links.VISIT), clip]] for what in ("sound", "picture")},
        "book-time": [[kind.slug] for kind in VisitKind.objects.all()],
        **{
            name: [[links.token(paid, links.VISIT)]]
            for name in ("owner-invoice", "owner-report", "owner-report-pdf", "owner-curve")
        },
        "visit-report-pdf": [[paid.number]],
        "owner-credit-note": [[links.token(note.invoice.visit, links.VISIT), note.invoice.number]],
        "credit-note-issue": [[note.kept.invoice.number]],
        "owner-visit": [[links.token(visit, links.VISIT)] for visit in (paid, asked, no_time, mended, chooses, here)],
        **{
            f"owner-{name}": [[links.token(visit, links.VISIT)] for visit in (mended, chooses)]
            for name in ("choose", "leave", "leave-look", "guide", "guides", "time")
        },
        "owner-confirm": [[links.token(held, links.CONFIRM)]],
        "owner-standby": [[links.token(visit, links.VISIT)] for visit in (sheet, paid)],
        "owner-reminders": [[links.token(paid, links.REMINDERS)]],
        "owner-offer": [[links.token(one.visit, links.VISIT), one.pk] for one in (offer, may_go_on)],
        "visit-choice": [[chooses.number]],
        "visit-standby": [[sheet.number], [offer.visit.number]],
        "visit-offer": [[offer.visit.number, offer.pk]],
        "visit-go-on": [[paid.number]],
        "owner-go-on": [[links.token(paid, links.VISIT)]],
        **{name: [[links.token(asked, links.VISIT)]] for name in ("owner-call-off", "owner-move")},
        **dict.fromkeys(("findings", "visit", "card", "gate", "take-in", "visit-link", "deposit-add"), numbers),
        **{
            name: [[asked.number]]
            for name in ("visit-move", "visit-move-look", "visit-bench-limit", "visit-call-off", "visit-put-off")
        },
        **{name: [[asked.number]] for name in ("visit-write", "visit-safety", "deposit-keep", "deposit-wait")},
        "shop-message": [[what] for what in WORDED],
        **{name: [[asked.number]] for name in ("visit-did-not-come", "visit-state")},
        **{name: [[asked.number]] for name in ("visit-come-back", "visit-come-back-charge")},
        "visit-time": [[no_time.number]],
        "learned-bands": [[subject] for subject in SUBJECTS],
        **{name: [[paid.number]] for name in ("card-came-back", "card-did-not-come-back")},
        **{name: [["2030-01-02"]] for name in ("day-sheet-on", "plan-accept", "week-of")},
        "day-sheet-pdf": [[f"{here.arrived_at:%Y-%m-%d}"]],
        "invoice-issue": [[done.number]],
        "hand-line-add": [[done.number]],
        "hand-line-strike": [[done.number, _hand_line(done, boss).pk]],
        "invoice-credit": [[1]],
        **{name: [[paid.owner_id]] for name in ("owner-statement", "owner-statement-pdf")},
        "sent-message": [[enclosure.message_id]],
        **{name: [[enclosure.message_id]] for name in ("sent-again", "sent-told")},
        "enclosure": [[enclosure.message_id, enclosure.pk]],
        **{name: [[paid.owner_id]] for name in ("owner", "owner-data", "owner-erase")},
        "machine": [[paid.machine_id], [here.machine_id]],
        **{name: [[paid.machine_id]] for name in ("machine-measures", "machine-degrees", "machine-packers")},
        "strobe-picture": [[paid.gates.exclude(strobe_verdict="").first().pk]],
        **{name: [[paid.number]] for name in ("gate-packers", "gate-packers-back")},
        "shop-kind": [[VisitKind.objects.first().pk]],
        "shop-machine-kind": [[paid.machine.kind_id]],
        "shop-person": [[boss.pk]],
        **{f"shop-list{act}": [[_list(boss)]] for act in ("", "-take", "-forget")},
        "card-labour-right": [[paid.number, labour.pk]],
        **{f"card-cause-{name}": [[paid.number, cause.pk]] for name in ("correct", "none")},
        "card-cause-late": [[paid.number]],
        **{name: [[paid.number]] for name in ("card-pdf", "card-close", "card-reopen", "visit-collected")},
        **{name: [[paid.number]] for name in ("photo-add", "visit-link-revoke", "visit-link-send")},
        **{name: [[paid.number]] for name in ("ring-list-done", "ring-list-nobody", "ring-list-confirm")},
        **{name: [[paid.number]] for name in ("gate-begin", "gate-end", "gate-override", "card-labour-start")},
        **{name: [[paid.number]] for name in ("gate-bench-end", "gate-bench-again", "gate-on", "gate-off")},
        "gate-answer": [[paid.number, "leaks"]],
        **{name: [[1]] for name in ("invoice-pdf", "invoice-ubl", "payment-add")},
        "invoice": [[1], [note.kept.invoice.number], [note.invoice.number]],
        **{name: [[_photo(here, boss)]] for name in ("photo", "photo-delete")},
        "visit-link-picture": [[asked.number, links.VISIT]],
        **{name: [[here.steps.first().pk]] for name in PRESSED if name.startswith("step-")},
        "join-undo": [[1]],
        **{name: [[1]] for name in ("shop-day-forget", "shop-station-rename", "shop-station-remove")},
        "shop-station-feed": [[1]],
        "feed": [[feed_token(one)] for one in (boss, *Station.objects.all())],
        "wall-by-link": [[wall_token(Shop.objects.get())]],
        **{name: [[1]] for name in ("shop-packer-alter", "shop-packer-remove")},
        **{name: [[boss.pk]] for name in ("shop-person-hours", "shop-person-away")},
        "shop-person-there": [[boss.pk, 1]],
        "shop-person-log-ins": [[boss.pk]],
        "log-in-end": [["of-nobody"]],
        **{name: [[asked.number, "trouble"]] for name in ("finding-record", "finding-right", "finding-unright")},
        "remark-told": [[asked.number]],
        "remark-put-right": [[asked.number, "leaks-petrol"]],
        **{name: [[asked.number, latest(asked).pk]] for name in ("judgement-act", "judgement-leave")},
        "card-labour-stop": [[paid.number, labour.pk]],
        "card-line-strike": [[paid.number, paid.card.lines.first().pk]],
        "card-cause-withdraw": [[paid.number, cause.pk]],
        "card-add": [[paid.number, "cause"]],
        **{name: [[paid.number]] for name in ("card-write", "card-service", "card-service-off")},
        "card-outcome": [[paid.number, "coil"]],
        "card-outcome-back": [[paid.number, 1]],
        **{f"visit-runs{what}": [[paid.number], [here.number]] for what in ("", "-picture", "-wall", "-wall-picture")},
        **{name: [[here.number, run]] for name in ("run-csv", "run-strike")},
        "run-file": [[here.number, file]],
        "card-ask": [[here.number]],
        **{name: [[listed]] for name in ("shop-part", "shop-part-remove")},
        **{name: [[here.number, ordered]] for name in ("card-part-came", "card-part-off")},
        **{name: [[here.number, asked_with.pk]] for name in ("card-asked", "card-ask-again")},
        "owner-asked": [[links.token(here, links.VISIT), asked_with.pk]],
        "owner-asked-photo": [[links.token(here, links.VISIT), asked_with.pk, shown]],
        "invoice-above": [[done.number]],
        "visit-estimate": [[here.number]],
        "machine-estimate": [[here.machine_id]],
        **{f"estimate{what}": [[estimate]] for what in ("", "-pdf", "-withdraw", "-take-over")},
        "estimate-use": [[here.number, estimate]],
        **{f"estimate-{what}": [[drafted.pk]] for what in ("draft", "discard")},
        "estimate-line-strike": [[drafted.pk, drafted.lines[0]["key"]]],
        **{f"owner-estimate{what}": [[links.token(here, links.VISIT), estimate]] for what in ("", "-pdf")},
    }


def _estimates(visit: Visit, by: Person) -> tuple[int, Estimate]:
    """One that waits for its answer, and a draft."""
    waits = jobs.estimate(visit, by=by, text="The crank seals leak.")
    draft = estimates.begin(visit, by=by, now=timezone.now())
    given = {"text": "", "valid_until": draft.valid_until, "by": by, "now": timezone.now()}
    return waits.pk, estimates.keep(draft, line=jobs.estimate_line(), **given)


def _list(boss: Person) -> int:
    """One of each outcome of a line besides the changed."""
    content = b"make;model;first_year;stroke_mm\nTarnhow;500;1980;60\nTarnhow;500;1980;60\nOstler;50;;x\n"
    row = lists.keep(what=ListFile.KINDS, name="kinds.csv", content=content, by=boss, now=timezone.now())
    return row.pk


def _run(visit: Visit, by: Person) -> tuple[int, int]:
    """A run, and a file that waits to be one."""
    run = runs.run(visit, by=by, fitted={"main_jet": "140"})
    waiting = send(visit, name="pull.csv", content=runs.power_file(), by=by, now=timezone.now())
    return run.pk, waiting.pk


def _part(by: Person) -> int:
    given = {"place": "Drawer 3", "supplier": "Lane Parts", "price_each": Decimal("4.50"), "count": Decimal(2)}
    return parts.add(words="Main jet 98", by=by, now=timezone.now(), **given).pk


def _ordered(visit: Visit, by: Person) -> int:
    given = {"quantity": Decimal(1), "price_each": Decimal(65), "by": by, "now": timezone.now()}
    return part_orders.order(visit, words="CDI unit", **given).pk


def _clip(visit: Visit) -> int:
    """The demo has none that was heard: one of a healthy engine, so that its picture and its sound can be opened."""
    upload = SimpleUploadedFile("rev-out.m4a", rev_out.clip("healthy"), "audio/mp4")
    clip = taking_in.send(visit, upload=upload, now=timezone.now())
    give_up_s = time.monotonic() + HEARD_S
    while clip.state != Clip.HEARD and time.monotonic() < give_up_s:
        hear_clips()  # or the garage's own worker has it in hand already
        time.sleep(0.2)
        clip.refresh_from_db()
    return clip.pk


def open_offer(to: Visit, freed: Visit, *, in_the_building: bool = False) -> Offer:
    """The demo's offers end with their minutes: one that is open, of a time that a visit would give back."""
    now = timezone.now()
    until = now + timedelta(days=1)
    times = {"starts_at": freed.starts_at, "minutes": freed.minutes}
    hold = Hold.objects.create(
        browser=f"standby-walk-{to.number}", kind=freed.kind, began_at=now, expires_at=until, **times
    )
    freed_at = {"freed_at": now, "why": FreedTime.MOVED, "price": freed.price}
    time = FreedTime.objects.create(at="roller", place=1, visit=freed, hold=hold, **times, **freed_at)
    asked = {"in_the_building": in_the_building, "offered_at": now, "open_until": until}
    return Offer.objects.create(time=time, visit=to, **asked)


def _credit_note(machine: Machine, by: Person) -> CreditNote:
    """The demo keeps no deposit: one that was kept of a visit that did not come, and given back in part."""
    now, kind = timezone.now(), VisitKind.objects.get(slug="set-up")
    visit = Visit.objects.create(
        number=Visit.objects.order_by("number").values_list("number", flat=True).last() + 1,
        owner=machine.owner,
        machine=machine,
        kind=kind,
        state=states.DEPOSIT_AWAITED,
        booked_at=now,
        at=kind.at,
        starts_at=now - timedelta(hours=3),
        minutes=kind.minutes,
        price=kind.price,
        deposit=Decimal("30.00"),
    )
    payments.deposit(visit, amount=visit.deposit, how="card", by=by, now=now)
    visits.did_not_come(visit, by=by, now=now)
    kept_deposits.keep(visit, why="Nobody came.", by=by, now=now)
    kept = kept_deposit_of(visit)
    given = {"amount": Decimal("10.00"), "how": "card", "why": "He was in hospital."}
    return credit_notes.give_back(kept, **given, by=by, now=now).credit_note


def _photo(visit: Visit, by: Person) -> int:
    """The demo has no photo: one of plain colour, so that the walk can open one."""
    plain = io.BytesIO()
    Image.new("RGB", (320, 240), (120, 110, 90)).save(plain, "JPEG")
    upload = SimpleUploadedFile("plain.jpg", plain.getvalue(), "image/jpeg")
    return photos.add(visit, photo=upload, taken_for="take-in", words="Left side", by=by, now=timezone.now()).pk


def printed() -> None:
    """For a test that asks a running garage."""
    print(json.dumps(addresses()))  # noqa: T201
