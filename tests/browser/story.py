"""The main job once through, as owner and workshop live it. Told with any hand; what is read back is asserted."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlsplit

from diagnostics.core.gate_list import (
    BENCH_LINES,
    COMPRESSION,
    HIGHEST_REVS,
    REV_OUT_LINE,
    SECOND_LINE,
    STRAPPED_LINES,
    STROBE_LINE,
)
from jobs.demo import past
from jobs.demo.booking import CLIP
from tests.browser.hands import Hand
from tests.servers import LiveTickover


@dataclass(frozen=True)
class Owner:
    name: str
    email: str
    telephone: str
    machine: str


OWNER = Owner("Jody Wray", "jody.wray@example.org", "07700 900333", "Corrick 185, 1979 to 1986")
FIRST_PICKED = (  # pressed one after the other, each on a page of its own
    "It misfires",
    "At high revs",
    ("Nothing",),
    "No",
    "No",
    "It hits a ceiling and stutters there",
)
HEARD_MS = 60_000.0  # ms, until the worker has heard a clip; generous, since several runs may share two cores
DRAWN = "async picture => { await picture.decode(); return picture.naturalWidth; }"  # once it has come
TAKES_THE_PLAN = re.compile("Work to this plan|Take these changes")  # the first of the day, or the next
AFTER_THAT = "I’m not sure"  # each answer decides what is worth asking: these pages are answered as they come


def books_as_far_as_the_look(hand: Hand, kind: str, owner: Owner) -> None:
    hand.goes_to("/")
    hand.link(f"Book {kind.lower()}")
    hand.presses(hand.page.locator("ul.times button").first)
    hand.types("Your name", owner.name)
    hand.types("Email address", owner.email)
    hand.types("Telephone", owner.telephone)
    hand.chooses("Machine", owner.machine)
    hand.types("What’s wrong with it", "It stutters at high revs. Jets, I think.")
    hand.button("Check it all")
    assert hand.heading == "Is all this right?"
    assert owner.name in hand.words


def main_job(owner_hand: Hand, boss: Hand, owner: Owner) -> None:
    number, mine = books_and_fills_the_sheet(owner_hand, owner)
    looks_at_the_clip(boss, number)
    puts_on_fix_first(boss, number)
    gets_bench_time(boss, number)
    is_put_right(boss, number)
    passes_the_gate(boss, number)
    is_run_and_closed(boss, number)
    is_invoiced_paid_and_collected(boss, number)
    sees_it_paid(owner_hand, mine)


def books_and_fills_the_sheet(hand: Hand, owner: Owner) -> tuple[int, str]:
    """The number of the visit and the path of the owner's page."""
    books_as_far_as_the_look(hand, "Set-up", owner)
    hand.button("Book it")
    assert hand.heading == f"Booked. Thank you, {owner.name}."
    number = int(re.search(r"Visit (\d+):", hand.words).group(1))
    mine = urlsplit(hand.page.get_by_role("link", name="your visit").get_attribute("href")).path
    hand.link("Fill in the check sheet")
    hand.link("Start")
    for pick in FIRST_PICKED:
        if isinstance(pick, tuple):
            for tick in pick:
                hand.ticks(tick)
            hand.button("Next")
        else:
            hand.button(pick)
    while hand.heading != "Your answers":
        hand.button(AFTER_THAT)
    assert "It hits a ceiling and stutters there" in hand.words
    sheet = urlsplit(hand.page.url).path
    sends_the_sound_of_it(hand)
    hand.goes_to(sheet)
    hand.link("Finish and send")
    hand.button("Send the sheet")
    assert "What you told us that points to this" in hand.words
    return number, mine


def sends_the_sound_of_it(hand: Hand) -> None:
    hand.link("Record it or send a clip")
    hand.page.get_by_label("The clip", exact=True).set_input_files(CLIP)
    hand.button("Send this file")
    assert hand.heading == "The sound you sent"
    waits_until_heard(hand)
    assert "it hits a ceiling at about 6,050 rpm and breaks down there" in hand.words
    assert hand.page.locator("#clips img").evaluate(DRAWN) > 0


def waits_until_heard(hand: Hand) -> None:
    """The page looks again by itself; without a script its reader does."""
    worked_on = hand.page.locator("p[hx-get]")
    if hand.page.locator("html.has-script").count():
        worked_on.wait_for(state="detached", timeout=HEARD_MS)
        return
    for _ in range(int(HEARD_MS / 500)):
        if not worked_on.count():
            return
        hand.page.wait_for_timeout(500)
        hand.page.reload()


def looks_at_the_clip(hand: Hand, number: int) -> None:
    hand.goes_to(f"/visits/{number}/")
    hand.link("it breaks down at about 6,050 rpm")
    assert "It breaks down at about 6,050 rpm." in hand.words
    assert "69 % of its design speed of 8,800 rpm: a false one" in hand.words
    assert hand.page.locator("#heard img").first.evaluate(DRAWN) > 0


def puts_on_fix_first(hand: Hand, number: int) -> None:
    """The deposit is written down, the boss says yes, its owner says by telephone that the roller time is given back,
    and the machine comes without one.
    """
    hand.goes_to(f"/visits/{number}/")
    hand.link("Take a deposit")
    hand.types("Deposit", "30")
    hand.button("Write it in the book")
    hand.goes_to(f"/visits/{number}/")
    hand.link("Look at the findings and decide")
    hand.button("Yes: fix first")
    hand.goes_to(f"/visits/{number}/")
    hand.button("Give its time back now")
    hand.goes_to("/fix-first/")
    assert f"{number}  Corrick 185" in hand.words or f"{number} Corrick 185" in hand.words
    hand.goes_to(f"/visits/{number}/")
    assert "To be put right, no time yet" in hand.words
    hand.link("It’s here already")
    hand.ticks("We have the key")
    hand.button("It is here, on a trailer")
    assert "key with us" in _visit(hand, number)


def gets_bench_time(hand: Hand, number: int) -> None:
    hand.goes_to(f"/visits/{number}/time/")
    hand.presses(hand.page.locator("ul.times button").first)
    assert "at the bench" in _visit(hand, number)


def is_put_right(hand: Hand, number: int) -> None:
    _frees_hands(hand)
    _visit(hand, number)
    hand.button("Start fix first at Bench 1")
    hand.goes_to(f"/visits/{number}/card/")
    _fills(hand, "Work done", {"What was done": "New plug cap"})
    _fills(hand, "Reading", {"In your own words": "plug cap", "As found": "open", "As left": "5", "Unit": "kΩ"})
    hand.chooses("What was read", "something else, in words below", within=hand.page.locator("#add-reading"))
    _fills(hand, "Part", {"Which part": "Plug cap", "Price each": "8.40"})
    hand.button("Write it on the card")
    _names(hand, "Checked, OK", "What was checked", "reed valve", "Write it down as OK")
    hand.taps("Checked, OK: Try a known good ignition unit", until="checked, OK")
    hand.taps("This was it, the high-tension side", until="this was it, the high-tension side: plug, cap, lead or coil")
    hand.button("15 minutes more")
    hand.button("Pause")
    hand.button("Start fix first at Bench 1")
    hand.button("Finish: fix first")


def passes_the_gate(hand: Hand, number: int) -> None:
    hand.goes_to(f"/visits/{number}/gate/")
    hand.button("Start the gate")
    fills_the_gate(hand, idle_deg="22", peak_deg="21.4")
    assert "Passed at the bench" in hand.words, hand.words
    hand.button("It stands on")
    hand.button("Take it off the rollers again")
    hand.button("Do the part at the bench again")
    fills_the_gate(hand, idle_deg="22", peak_deg="21.4")
    hand.button("It stands on")
    for line in STRAPPED_LINES:
        if line.id == SECOND_LINE:
            hand.chooses("Second person within call", "Robin Tyson")
        _answers(hand, line.id, "No limit today" if line.id == HIGHEST_REVS else "In order")
    hand.button("Finish: strapped down")
    assert "It may be run on the rollers" in hand.words, hand.words
    assert "Gate passed" in _visit(hand, number)


def fills_the_gate(hand: Hand, *, idle_deg: str, peak_deg: str, rev_out: str = "Clean: it revs right out") -> None:
    """The part at the bench: everything in order but what the strobe reads, which may rule the rev-out out, and how it
    revs out.
    """
    strobe = {
        "Tickover, rpm": "1400",
        "Tickover, degrees": idle_deg,
        "Peak revs, rpm": "8700",
        "Peak revs, degrees": peak_deg,
    }
    buttons = {STROBE_LINE: "Save the strobe", REV_OUT_LINE: rev_out}
    for line in BENCH_LINES:
        shown = hand.page.locator(f"#line-{line.id}")
        if shown.count() and not shown.locator("> details > summary").count():
            for label, text in {COMPRESSION: {"The gauge": "9.5"}, STROBE_LINE: strobe}.get(line.id, {}).items():
                hand.types(label, text)
            _answers(hand, line.id, buttons.get(line.id, "In order"))
    hand.button("Finish: at the bench")


def _answers(hand: Hand, line_id: str, button: str) -> None:
    """A line folds once it is answered."""
    line = hand.page.locator(f"#line-{line_id}")
    hand.answers(line.get_by_role("button", name=button).first, until=line.locator("> details > summary"))


def is_run_and_closed(hand: Hand, number: int) -> None:
    hand.button("Start set-up")
    assert "On the rollers" in _visit(hand, number)
    hand.button("Finish: set-up")
    hand.goes_to(f"/visits/{number}/card/")
    _fills(hand, "Reading", {"In your own words": "best pull", "As left": "14.2", "Unit": "kW"})
    hand.chooses("What was read", "something else, in words below", within=hand.page.locator("#add-reading"))
    hand.button("Write it on the card")
    hand.button("Close the card")
    assert "Closed " in hand.words
    hand.opens("Reopen the card")
    hand.types("Why it is reopened", "The pull before was not written down.")
    hand.button("Reopen it")
    hand.button("Close the card")
    assert "Closed " in hand.words


def is_invoiced_paid_and_collected(hand: Hand, number: int) -> None:
    """£120.00 for the set-up and £8.40 for the cap, less £30.00 deposit; a clock of seconds costs nothing."""
    hand.goes_to(f"/visits/{number}/invoice/")
    hand.opens("Add a line: discount")
    hand.chooses("Kind", "goodwill")
    hand.types("What it is", "For the wait")
    hand.types("Price each, VAT included", "-5")
    hand.button("Put it on the invoice")
    assert "Goodwill: For the wait" in hand.words
    hand.button("Take off: For the wait")
    hand.button("Issue the invoice")
    assert "£128.40" in hand.words
    _visit(hand, number)
    hand.button("Ready: tell the owner")
    _visit(hand, number)
    hand.link("To the till")
    assert "£98.40 left to pay" in hand.words
    hand.types("Amount", "98.40")
    hand.button("Write it in the book")
    assert "Paid." in hand.words
    _visit(hand, number)
    hand.button("It was collected")
    assert "Collected" in _visit(hand, number)


def sees_it_paid(hand: Hand, path: str) -> None:
    hand.goes_to(path)
    assert "Collected" in hand.words
    assert "£128.40" in hand.words
    assert "Paid, thank you" in hand.words


# Two machines in the building, and nothing else to be done. One is promised the rollers in two and a half hours and
# will fail its gate. The other is through the gate and waits for so long a time on them that none is left before.
LAYS_OUT_A_TAKE_OVER = """
from datetime import timedelta
from django.utils import timezone
from garage.core import states
from garage.models.shop import VisitKind
from garage.models.visits import Step, Visit
from tests.factories import garage

others = Visit.objects.exclude(state__in=states.OVER)
print("OTHERS", dict(others.values_list("pk", "state")))
others.update(state=states.CALLED_OFF)
now, kind = timezone.now(), VisitKind.objects.get(slug="power-run")
promised = now.replace(second=0, microsecond=0) + timedelta(minutes=150 - now.minute % 5)
owner = garage.owner()


def here(**given):
    number = Visit.objects.order_by("-number").first().number + 1
    values = dict(number=number, kind=kind, machine=garage.machine(owner=owner, words="Corrick 185"))
    return garage.visit(**values | dict(state=states.HERE, arrived_at=now - timedelta(hours=1)) | given)


fails = here(starts_at=promised, minutes=30)
Step.objects.create(visit=fails, index=0, at="bench", minutes=20, what="gate", is_check=True)
Step.objects.create(visit=fails, index=1, at="roller", minutes=30, what="power run")
waits = here(starts_at=None, at="", minutes=0, gate_at_bench_passed_at=now, gate_passed_at=now)
Step.objects.create(visit=waits, index=0, at="roller", minutes=145, what="power run")
print("LAID", fails.number, waits.number)
"""
PUTS_THE_DAY_BACK = """
from garage.core import states
from garage.models.visits import Visit
Visit.objects.filter(number__in={told}).update(state=states.CALLED_OFF)
for row, state in {others}.items():
    Visit.objects.filter(pk=row).update(state=state)
"""


def rollers_are_taken_over(hand: Hand, live: LiveTickover) -> None:
    """People work to a plan; one machine fails its gate; another takes its time on the rollers, with a tap."""
    said = live.shell(LAYS_OUT_A_TAKE_OVER)
    others = re.search(r"OTHERS (.*)", said).group(1)
    fails, waits = (int(number) for number in re.search(r"LAID (.*)", said).group(1).split())
    try:
        _takes_over(hand, fails, waits)
    finally:
        live.shell(PUTS_THE_DAY_BACK.format(told=(fails, waits), others=others))


def _takes_over(hand: Hand, fails: int, waits: int) -> None:
    hand.goes_to("/day/")
    hand.button(TAKES_THE_PLAN)
    assert "People work to the plan of" in hand.words
    hand.goes_to(f"/visits/{fails}/gate/")
    hand.button("Start the gate")
    fills_the_gate(hand, idle_deg="22", peak_deg="21.4", rev_out="It hits a ceiling and stutters there")
    assert "The day has moved." in hand.words
    hand.link("Look at it on the day sheet")
    moved = hand.page.locator("#plan li").all_inner_texts()
    assert any(line.startswith(f"{fails}: no ") and "it is to be put right first" in line for line in moved), moved
    assert any(line.startswith(f"{waits}: power run at ") for line in moved), moved
    assert f"{fails} does not need roller 1 then." in hand.words
    hand.button("Take these changes")
    assert "Nothing has moved since." in hand.words


def _visit(hand: Hand, number: int) -> str:
    hand.goes_to(f"/visits/{number}/")
    return hand.words


def _frees_hands(hand: Hand) -> None:
    """Whatever runs on the floor is ended, so that bench, rollers and people are there for the story."""
    _presses_all(hand, "/day/", "Finish the")
    for number in (4, 5):
        _presses_all(
            hand, f"/visits/{past.MANY + number}/card/", re.compile("^Stop")
        )  # and no "stop lead" of the bench


def _presses_all(hand: Hand, path: str, name: str | re.Pattern[str]) -> None:
    hand.goes_to(path)
    for _ in range(hand.page.get_by_role("button", name=name).count()):
        hand.button(name)
        hand.goes_to(path)


def _fills(hand: Hand, summary: str, typed: dict[str, str]) -> None:
    """One kind of line of the card. What is filled in of all kinds is written with one press."""
    hand.opens(summary)
    lines = hand.page.locator("details.add", has=hand.page.locator("summary", has_text=summary)).first
    for label, text in typed.items():
        hand.types(label, text, within=lines)


def _names(hand: Hand, summary: str, label: str, fault: str, button: str) -> None:
    hand.opens(summary)
    form = hand.page.locator("details.add[open]")
    field = form.get_by_label(label).first
    option = field.locator("option", has_text=re.compile(re.escape(fault), re.IGNORECASE)).first.inner_text()
    hand.chooses(label, option, within=form)
    hand.button(button, within=form)
