"""The buttons that the main job does not need, each pressed once: with the story they are all there are."""

from __future__ import annotations

import io

from PIL import Image
from playwright.sync_api import expect

from jobs.demo import past
from jobs.demo.garage import LOG_INS
from tests.browser import rev_out
from tests.browser.hands import Hand
from tests.browser.story import fills_the_gate, rollers_are_taken_over, waits_until_heard
from tests.factories import runs
from tests.servers import LiveTickover

PASSWORDS = {name: password for name, password, *_ in LOG_INS}
# Visits of the demo, after those of the year before: waits for the boss's word, failed the gate, due later today.
ASKED, FAILED, EXPECTED = (past.MANY + number for number in (8, 4, 7))

HELD = """
from tests.browser.addresses import held_visit
print("HELD", held_visit().number)
"""
OFFERED = """
from garage.models.visits import Visit
from tests.browser.addresses import open_offer
to, freed = Visit.objects.filter(state="booked", at="roller").order_by("-starts_at")[:2]
open_offer(to, freed)
print("OFFERED", to.number)
"""
LEFT_WITH_US = """
from django.urls import reverse
from django.utils import timezone
from garage.changes.day.selling import TimeTaken
from garage.models.shop import VisitKind
from garage.reads import links
from garage.reads.shop import the_shop
from tests.factories import booking
kind = VisitKind.objects.get(slug="set-up")
for ahead in range(20, 40):  # on the first day on which nobody else in this garage has that hour
    try:
        ten = the_shop().local_time.at_minute(booking.workday(ahead=ahead), 10 * 60)
        visit = booking.left_with_us(kind, ten, now=timezone.now())
        break
    except TimeTaken:
        continue
print("LEFT", visit.number, reverse("owner-visit", args=[links.token(visit, links.VISIT)]))
"""
LENGTH_OF_SOUND = """sound => new Promise(done => {
    sound.addEventListener("loadedmetadata", () => done(sound.duration));
    sound.preload = "metadata";
})"""


def presses_the_others(hand: Hand, live: LiveTickover) -> None:
    for pressing in (
        _logs_in_anew,
        _rings,
        _tells_what_came_back,
        _puts_down_a_finding_and_leaves_the_judgement,
        _finds_and_puts_right,
        _keeps_a_photo,
        _sends_and_revokes_links,
        _sends_guides,
        _joins_and_parts,
        _sells_to_an_owner_over_the_counter,
        _changes_the_shop,
        _takes_in_a_list,
        _takes_everything_away,
        _changes_a_person,
        _ends_log_ins,
        _is_shown_round,
        _lets_through_a_failed_gate,
        _strikes_and_withdraws,
        _says_it_came_back,
        _reminds_of_a_service,
        _corrects_a_closed_card,
        _taps_what_the_bench_found,
        _imports_a_run_and_strikes_it_out,
        _asks_the_owner_about_more_work,
        _estimates_and_does_as_estimated,
        _takes_and_orders_parts,
        _deletes_a_clip,
        _listens_to_clips,
    ):
        pressing(hand)
    rollers_are_taken_over(hand, live)
    _confirms_what_was_booked_online(hand, live)
    _says_it_is_a_come_back(hand, live)
    _says_it_did_not_come(hand, live)
    _gives_back_a_deposit_that_was_kept(hand)
    _answers_an_offer_for_an_owner_who_rings(hand, live)
    _says_that_what_was_left_here_may_go_on(hand, live)
    _fixes_a_step_by_hand(hand, live)
    _levels_a_pickup(hand)
    hand.opens("More")
    hand.button("Log out")


def _rings(hand: Hand) -> None:
    hand.goes_to("/ring-list/")
    hand.button("Nobody answered")
    assert "Nobody answered " in hand.words
    hand.types("What was said", "A set-up instead, please.")
    hand.button("Rung: take it off the list")


def _confirms_what_was_booked_online(hand: Hand, live: LiveTickover) -> None:
    number = live.shell(HELD).split("HELD ")[1].strip()
    hand.goes_to("/ring-list/")
    hand.button(f"They come: confirm it, visit {number}")
    assert f"Visit {number} stands." in hand.words


def _tells_what_came_back(hand: Hand) -> None:
    """A mail server's report of a mail to the owner of the visit that waits for the boss."""
    hand.goes_to(f"/visits/{ASKED}/write/")
    hand.types("Text", "The coil you asked for is here.")
    hand.button("Send it")
    address = hand.page.locator("a[href^='mailto:']").first.inner_text()
    hand.goes_to("/sent/")
    hand.page.get_by_text("kept here").first.wait_for()
    hand.goes_to("/sent/report/")
    hand.types("The report", f"Final-Recipient: rfc822;{address}\nAction: failed\nStatus: 5.1.1\n")
    hand.button("Read the report")
    assert "A report says that it did not arrive (5.1.1)" in hand.words
    hand.button("Done: the owner knows")
    assert "Told: " in hand.words


def _puts_down_a_finding_and_leaves_the_judgement(hand: Hand) -> None:
    hand.goes_to(f"/visits/{ASKED}/findings/")
    hand.opens("Every question")
    hand.opens("What made you book?")
    hand.chooses("What made you book?", "It cuts out")
    hand.button("Write it down", within=hand.page.locator("#trouble"))
    hand.goes_to(f"/visits/{ASKED}/findings/")
    hand.opens("The owner says more on the telephone")
    hand.chooses("What they say", "Its brakes or tyres are not safe to ride on")
    hand.button("Write down what they say")
    hand.opens("Put right: Its brakes or tyres")
    hand.types("What was found and put right", "New rear tyre.")
    hand.button("It is put right")
    assert "New rear tyre." in hand.words
    hand.goes_to(f"/visits/{ASKED}/findings/")
    hand.opens("Choose another route, or leave it")
    hand.types("Leave it as it is, because", "The owner brings a new coil.")
    hand.button("Leave it")
    assert "Set aside" in hand.words


def _finds_and_puts_right(hand: Hand) -> None:
    card, pinks = f"/visits/{FAILED}/card/", "Does it rattle or pink under load?"
    hand.goes_to(card)
    hand.opens("A cause: this was it")
    form = hand.page.locator("details.add[open]")
    hand.types("In your own words", "Lead chafed through", within=form)
    hand.button("Write it down as the cause", within=form)
    _says_whether_it_pinks(hand, "Yes")
    hand.opens(f"Found and put right: {pinks}")
    hand.types("What was found and what was done", "Lead chafed through: a new one fitted.")
    hand.button("It is put right")
    assert "a new one fitted" in hand.words
    hand.button("Not put right after all")
    _says_whether_it_pinks(hand, "No")
    hand.goes_to(card)
    hand.swaps("Withdraw: Lead chafed through")
    hand.page.get_by_role("button", name="Withdraw: Lead chafed through").wait_for(state="detached")


def _says_whether_it_pinks(hand: Hand, answer: str) -> None:
    hand.goes_to(f"/visits/{FAILED}/findings/")
    pinks = "Does it rattle or pink under load?"
    hand.opens(f"Change: {pinks}" if hand.page.get_by_text(f"Change: {pinks}").count() else f"Write down: {pinks}")
    hand.chooses(pinks, answer, within=hand.page.locator("#pinking"))
    hand.button("Write it down", within=hand.page.locator("#pinking"))


def _keeps_a_photo(hand: Hand) -> None:
    plain = io.BytesIO()
    Image.new("RGB", (64, 48), (120, 110, 90)).save(plain, "PNG")
    hand.goes_to(f"/visits/{ASKED}/take-in/")
    hand.opens("Photo")
    hand.page.get_by_label("Photo", exact=True).set_input_files(
        {"name": "left.png", "mimeType": "image/png", "buffer": plain.getvalue()}
    )
    hand.types("What it shows", "Left side")
    hand.swaps("Save the photo")
    hand.page.locator("#photos img").wait_for()
    hand.opens("Delete")
    hand.swaps("Delete it")
    hand.page.locator("#photos img").wait_for(state="detached")


def _sends_and_revokes_links(hand: Hand) -> None:
    hand.goes_to(f"/visits/{ASKED}/link/")
    old = hand.page.locator("p.address a").first.get_attribute("href")
    hand.button("Email the links")
    hand.button("Revoke all links")
    assert hand.page.locator("p.address a").first.get_attribute("href") != old
    hand.page.goto(old)
    assert hand.heading == "This link has run out"
    hand.button("Send a new link")
    hand.goes_to("/sent/")
    hand.presses(hand.page.locator("tbody a").first)
    hand.button("Try again now")


def _sends_guides(hand: Hand) -> None:
    """The desk from the visit, then the owner by the link."""
    hand.goes_to(f"/visits/{ASKED}/guides/")
    hand.button("Send it: Plug, cap and lead")
    assert "“Plug, cap and lead” is on its way to " in hand.words
    hand.goes_to(f"/visits/{ASKED}/link/")
    own = hand.page.locator("p.address a[href*='/visit/']").first.get_attribute("href")
    hand.page.goto(f"{own}guides/")
    hand.button("Mail it to me: Plug, cap and lead")
    assert "“Plug, cap and lead” is on its way to you by email." in hand.words


def _joins_and_parts(hand: Hand) -> None:
    hand.goes_to("/owners/doubles/")
    hand.button("Join these owners")
    hand.goes_to("/owners/doubles/")
    hand.button("Join these machines")
    hand.goes_to("/owners/doubles/")
    hand.button("Undo: separate")


def _sells_to_an_owner_over_the_counter(hand: Hand) -> None:
    """Who is found by part of the name; what was typed before is still there."""
    hand.goes_to("/the-book/counter/")
    hand.types("Line 1", "Spark plug")
    hand.types("Price each, line 1", "6.50")
    hand.types("An owner you know", "Irton")
    hand.button("Find the owner")
    hand.ticks("Bo Irton")
    assert hand.page.get_by_label("Line 1").first.input_value() == "Spark plug"
    hand.button("Issue the invoice")
    assert "Sold: it is in the book." in hand.words


def _changes_the_shop(hand: Hand) -> None:
    hand.goes_to("/shop/days/")
    hand.types("Day", "2035-05-04")
    hand.types("Why", "Stocktaking")
    hand.button("Add")
    hand.presses(hand.page.get_by_role("button", name="Take 4 May off the list"))
    hand.goes_to("/shop/kept-free/")
    hand.types("Monday: bench", "30")
    hand.button("Save")
    hand.goes_to("/shop/stations/")
    form = hand.page.locator("form").last
    hand.chooses("Kind", "bench", within=form)
    hand.types("Name", "Bench by the door", within=form)
    hand.button("Add", within=form)
    hand.types("Name of Bench by the door", "Bench 3")
    hand.button("Rename Bench by the door")
    hand.button("Remove Bench 3")
    assert "Bench 3" not in hand.page.locator("ul.rows").inner_text()
    hand.opens("Calendar of ")
    hand.button("Change the address of ")
    assert "has a new address. The old one is dead." in hand.words
    hand.button("Change the address of the wall")
    assert "The wall has a new address." in hand.words
    hand.goes_to("/shop/packers/")
    form = hand.page.locator("form").last
    hand.types("Thickness, mm", "0,15", within=form)
    hand.types("How many", "4", within=form)
    hand.button("Add", within=form)
    line = hand.page.locator("li", has_text="0.15 mm")
    hand.types("How many", "3", within=line)
    hand.button("Save 0.15 mm")
    hand.button("Take 0.15 mm off the list")
    assert "0.15 mm" not in hand.page.locator("ul.rows").inner_text()


def _takes_in_a_list(hand: Hand) -> None:
    for content, button in (("Tarnhow;400", "Take it in"), ("Ostler;60", "Forget this list")):
        hand.goes_to("/shop/lists/")
        file = {"name": "kinds.csv", "mimeType": "text/csv", "buffer": f"make;model\n{content}\n".encode()}
        hand.page.get_by_label("The file").set_input_files(file)
        hand.button("Look at it")
        assert "1 new, 0 changed, 0 the same, 0 refused" in hand.words
        hand.button(button)
    hand.goes_to("/shop/machine-kinds/")
    assert "Tarnhow 400" in hand.words
    assert "Ostler 60" not in hand.words


def _takes_everything_away(hand: Hand) -> None:
    hand.goes_to("/shop/everything/")
    hand.button("Make the file")
    take = hand.page.get_by_role("button", name="Take it away")
    expect(take).to_be_visible(timeout=60_000)  # the page looks again by itself, until the worker has made it
    with hand.page.expect_download() as download:
        take.click()
    assert download.value.suggested_filename.startswith("everything-")
    hand.button("Delete it now")
    assert "Deleted." in hand.words


def _changes_a_person(hand: Hand) -> None:
    hand.goes_to("/shop/people/")
    hand.link("Sam Birkett")
    hand.types("First day", "2035-06-01")
    hand.types("Last day", "2035-06-02")
    hand.button("Add")
    hand.button("Here after all from 1 June")
    hand.button("Save the hours")


def _logs_in_anew(hand: Hand) -> None:
    """On a busy machine the story may have taken so long that the password would be asked for again."""
    hand.goes_to("/log-in/")
    hand.types("Name", "boss")
    hand.types("Password", PASSWORDS["boss"])
    hand.button("Log in")


def _ends_log_ins(hand: Hand) -> None:
    """Of the boss on two other browsers, one after the other, and of a mechanic."""
    for name in ("boss", "boss", "mechanic"):
        elsewhere = hand.page.context.browser.new_context()
        other = Hand(elsewhere.new_page(), hand.base_url)
        other.goes_to("/log-in/")
        other.types("Name", name)
        other.types("Password", PASSWORDS[name])
        other.button("Log in")
        elsewhere.close()
    hand.goes_to("/account/")
    hand.button("Change the address")
    assert "Your calendar has a new address." in hand.words
    hand.button("End the log-in with")
    hand.button("End all but this one")
    assert "Only this browser is still logged in." in hand.words
    hand.goes_to("/shop/people/")
    hand.link("Sam Birkett")
    hand.button("End the log-ins of Sam Birkett")
    assert "Nowhere logged in." in hand.words


def _is_shown_round(hand: Hand) -> None:
    """From the menu, stop by stop, and put away at the last."""
    hand.goes_to("/")
    hand.opens("More")
    hand.button("Show me round")
    for number in range(1, 5):
        assert f"{number} of 5." in hand.words
        hand.link("Next: ")
    hand.button("That is all: put this away")
    assert "5 of 5." not in hand.words


def _lets_through_a_failed_gate(hand: Hand) -> None:
    hand.goes_to(f"/visits/{FAILED}/gate/")
    hand.opens("Let it through anyway")
    hand.types("Reason", "Short and gentle, to hear it myself.")
    hand.button("Let it through, ")
    assert "Failed, and let through" in hand.words


def _strikes_and_withdraws(hand: Hand) -> None:
    card = f"/visits/{FAILED}/card/"
    hand.goes_to(card)
    hand.button("Strike out note")
    hand.goes_to(card)
    hand.button("Start the clock")
    hand.button("Stop the clock")
    hand.goes_to(card)
    hand.opens("Checked, OK")
    form = hand.page.locator("details.add[open]")
    hand.types("In your own words", "Air filter", within=form)
    hand.button("Write it down as OK", within=form)
    hand.swaps("Withdraw: checked, OK, Air filter")
    hand.page.get_by_text("Checked, OK: Air filter").wait_for(state="detached")


def _taps_what_the_bench_found(hand: Hand) -> None:
    """List, chances and causes change without leaving the page; taken back, the card is as it was."""
    hand.goes_to(f"/visits/{FAILED}/card/")
    bench = hand.page.locator("#bench")
    before = bench.inner_text()
    hand.swaps("This was it")
    hand.page.get_by_text("Found and put right").wait_for()
    hand.page.locator("#close").get_by_text("Say above what it was").wait_for(state="detached")
    hand.swaps("Checked, OK: ")
    hand.page.locator("#bench").get_by_text("checked, OK", exact=True).wait_for()
    for _ in range(2):
        taken = hand.page.get_by_role("button", name="Undo")
        left = taken.count() - 1
        hand.swaps("Undo")
        expect(taken).to_have_count(left)
    expect(bench.get_by_role("status")).to_be_focused()
    hand.goes_to(f"/visits/{FAILED}/card/")
    assert bench.inner_text() == before


def _imports_a_run_and_strikes_it_out(hand: Hand) -> None:
    hand.goes_to("/shop/rollers/")
    hand.types("Inertia", "6,25")
    hand.types("Diameter", "500")
    hand.button("Save")
    hand.goes_to(f"/visits/{FAILED}/runs/")
    file = {"name": "pull.csv", "mimeType": "text/csv", "buffer": runs.roller_file()}
    hand.page.get_by_label("The logger’s file").set_input_files(file)
    hand.button("Look at it")
    hand.types("Reduction", "7,5")
    hand.types("Tyre", "90/90-18")
    hand.types("Main jet", "98")
    hand.button("Draw its curve")
    assert "Power from how the rollers gain speed, with an inertia of 6.25 kg·m²" in hand.words
    expect(hand.page.locator("img.plot")).to_be_visible()
    hand.button("Strike out run A")
    assert "Run A is struck out." in hand.words


def _asks_the_owner_about_more_work(hand: Hand) -> None:
    hand.goes_to(f"/visits/{FAILED}/card/")
    hand.link("Ask the owner about more work")
    hand.types("What is to be done, and why", "The kill switch is cracked. A new one, fitted.")
    hand.types("Price, VAT included", "28")
    hand.button("Ask the owner")
    hand.link("£28.00: The kill switch")
    hand.link("The price has changed: ask anew")
    hand.types("Price, VAT included", "34.50")
    hand.button("Ask the owner")
    hand.link("£34.50: The kill switch")
    hand.chooses("What the owner said", "yes")
    hand.button("Write the answer down")
    assert "heard by" in hand.words


def _estimates_and_does_as_estimated(hand: Hand) -> None:
    hand.goes_to(f"/visits/{FAILED}/")
    machine = hand.page.locator("a[href^='/machines/']").first.get_attribute("href")
    hand.goes_to(machine)
    hand.button("Write an estimate before any visit")
    hand.button("Throw the draft away")
    _issues_an_estimate(hand, machine, "Write an estimate before any visit", "40")
    hand.goes_to(f"/visits/{FAILED}/")
    hand.button("Use it for this visit")
    hand.link("Estimate E3")
    hand.button("Withdraw it")
    _issues_an_estimate(hand, f"/visits/{FAILED}/", "Write an estimate", "45")
    hand.chooses("What the owner said", "yes")
    hand.button("Write the answer down")
    hand.button("Put its lines on card and invoice")
    assert "Its lines are on card and invoice." in hand.words


def _issues_an_estimate(hand: Hand, where: str, button: str, price: str) -> None:
    hand.goes_to(where)
    hand.button(button)
    for words in ("Crank seals", "Not this"):
        hand.types("What it is", words)
        hand.types("Price each, VAT included", price)
        hand.button("Put the line on it")
        hand.opens("Add a line: labour, a part, something else, money off")
    hand.opens("Take a line off")
    hand.button("Take off: Not this")
    hand.button("Issue the estimate")


def _takes_and_orders_parts(hand: Hand) -> None:
    hand.goes_to("/shop/parts/")
    for words in ("Kill switch", "Old chain"):
        hand.types("Part", words)
        hand.types("In stock", "2")
        hand.types("Price each, VAT included", "12")
        hand.button("Add")
    hand.link("Change Kill switch")
    hand.types("Where it lies", "Drawer 3")
    hand.button("Save")
    hand.link("Change Old chain")
    hand.button("Take it off the list")
    for words in ("CDI unit", "Pickup coil"):
        hand.goes_to(f"/visits/{FAILED}/card/")
        hand.opens("Part")
        hand.types("Which part", words)
        hand.types("Price each, VAT included", "65")
        hand.ticks("Not here: order it for this card")
        hand.button("Write it on the card")
    hand.goes_to(f"/visits/{FAILED}/card/")
    hand.button("It has come")
    hand.button("Order it off")
    assert "1 × CDI unit, £65.00 each" in hand.words


def _says_it_came_back(hand: Hand) -> None:
    hand.goes_to(f"/visits/{past.MANY + 1}/card/")
    hand.opens("It came back with the same trouble")
    hand.swaps("Mark card")
    expect(hand.page.locator("#came-back")).to_contain_text("Nothing is learned from this card")
    hand.opens("It didn’t, after all")
    hand.swaps("Take the mark off")
    expect(hand.page.locator("#came-back")).not_to_contain_text("Nothing is learned from this card")


def _reminds_of_a_service(hand: Hand) -> None:
    hand.goes_to(f"/visits/{past.MANY + 1}/card/")
    hand.opens("Something to check again")
    hand.types("What to do then", "strobe it again")
    hand.types("After how many km", "500")
    hand.button("Remind the owner then")
    expect(hand.page.locator("#service")).to_contain_text("strobe it again after about 500 km")
    hand.button("Take the reminder away")
    expect(hand.page.locator("#service")).not_to_contain_text("500 km")


def _corrects_a_closed_card(hand: Hand) -> None:
    hand.goes_to(f"/visits/{past.MANY + 1}/card/")
    hand.link("Something else turned up later")
    hand.types("In your own words", "Chafed lead")
    hand.button("Put it on the card")
    hand.link("Correct: Chafed lead")
    hand.button("It wasn’t this")
    hand.page.get_by_text("Chafed lead").wait_for(state="detached")


def _deletes_a_clip(hand: Hand) -> None:
    """By the owner's own link: a recording from before is sent, and nothing of it stays."""
    hand.goes_to(f"/visits/{ASKED}/link/")
    hand.page.goto(hand.page.locator("p.address a[href*='/sheet/']").first.get_attribute("href"))
    hand.link("Record it or send a clip")
    hand.page.get_by_label("The clip", exact=True).set_input_files(
        {"name": "rev-out.m4a", "mimeType": "audio/mp4", "buffer": rev_out.clip("healthy")}
    )
    hand.button("Send this file")
    assert hand.heading == "The sound you sent"
    hand.opens("Delete it")
    hand.button("Delete this clip")
    assert hand.heading != "The sound you sent"


def _listens_to_clips(hand: Hand) -> None:
    """The workshop is sent two by mail: one that is none, and one that a mechanic hears otherwise."""
    _adds_a_clip(hand, "words.m4a", b"No sound at all.")
    assert "is a text, not a sound" in hand.words
    hand.button("Listen again")
    waits_until_heard(hand)
    hand.opens("Delete this clip")
    hand.button("Delete the clip")
    assert "The clip is deleted." in hand.words
    _adds_a_clip(hand, "rev-out.m4a", rev_out.clip("healthy"))
    assert "It revs out." in hand.words
    assert hand.page.locator("audio").first.evaluate(LENGTH_OF_SOUND) > 10
    hand.button("It breaks down")
    assert "Jo Harker says so" in hand.words
    hand.button("Take your verdict back")
    assert "Jo Harker says so" not in hand.words


def _adds_a_clip(hand: Hand, name: str, content: bytes) -> None:
    hand.goes_to(f"/visits/{EXPECTED}/findings/")
    hand.opens("Add a clip")
    hand.page.get_by_label("The clip").set_input_files({"name": name, "mimeType": "audio/mp4", "buffer": content})
    hand.button("Save it and listen")
    waits_until_heard(hand)


def _says_it_is_a_come_back(hand: Hand, live: LiveTickover) -> None:
    of_then = f"(select machine_id from garage_visit where number = {past.MANY + 1})"  # noqa: S608
    live.rows(f"update garage_visit set machine_id = {of_then} where number = {EXPECTED}")  # noqa: S608
    hand.goes_to(f"/visits/{EXPECTED}/")
    hand.opens("This visit is a come-back")
    hand.button("A come-back of visit")
    hand.opens("Charge it after all")
    hand.types("Why it is charged", "Crashed in between.")
    hand.button("Charge it")
    assert "Charged after all: Crashed in between." in hand.words
    hand.opens("No come-back after all")
    hand.button("It is a visit of its own")


def _says_it_did_not_come(hand: Hand, live: LiveTickover) -> None:
    hand.goes_to(f"/visits/{EXPECTED}/deposit/")
    hand.types("Deposit", "30")
    hand.button("Write it in the book")
    live.rows(f"update garage_visit set starts_at = datetime('now', '-1 hour') where number = {EXPECTED}")  # noqa: S608
    hand.goes_to(f"/visits/{EXPECTED}/")
    hand.button("It did not come")
    assert "Did not come" in hand.words


def _gives_back_a_deposit_that_was_kept(hand: Hand) -> None:
    hand.goes_to(f"/visits/{EXPECTED}/deposit/keep/")
    hand.types("Why", "Nobody came.")
    hand.button("Keep it and issue its invoice")
    hand.link("Give it back")
    hand.types("Amount to give back", "-10")
    hand.types("Why", "In hospital.")
    hand.button("Give it back and issue the credit note")
    assert "without a minus" in hand.words
    hand.types("Amount to give back", "10")
    hand.button("Give it back and issue the credit note")
    assert hand.heading.startswith("Credit note ")


def _answers_an_offer_for_an_owner_who_rings(hand: Hand, live: LiveTickover) -> None:
    number = live.shell(OFFERED).split("OFFERED ")[1].strip()
    hand.goes_to(f"/visits/{number}/standby/")
    hand.button("No, they keep what they have")
    hand.goes_to(f"/visits/{number}/standby/")
    assert "No, they keep what they have" not in hand.words


def _says_that_what_was_left_here_may_go_on(hand: Hand, live: LiveTickover) -> None:
    """Its owner on the visit's own page, and takes it back; then the desk, for an owner who rings."""
    number, page = live.shell(LEFT_WITH_US).split("LEFT ")[1].split()
    hand.goes_to(page)
    hand.button("You may go on when they come free")
    hand.button("Ask me first after all")
    hand.goes_to(f"/visits/{number}/standby/")
    hand.button("They agree: it may go on when the rollers come free")
    assert "It may go on with the rollers when they come free" in hand.words


def _fixes_a_step_by_hand(hand: Hand, live: LiveTickover) -> None:
    hand.goes_to("/day/")
    hand.opens("by hand")
    form = hand.page.locator("#by-hand details[open]")
    hand.chooses("Who", "Jo Harker", within=form)
    hand.answers(form.get_by_role("button", name="What it costs"), until=form.locator("[data-said]"))
    hand.button("Set it", within=form)
    fixed = "select first_name from garage_step s join garage_person p on p.id = s.pin_by_id"
    assert live.rows(fixed) in ([("Jo",)], [["Jo"]])


def _levels_a_pickup(hand: Hand) -> None:
    """The strobe climbs: the packers are worked out, taken, and put back, all without leaving the page."""
    hand.goes_to(f"/visits/{FAILED}/gate/")
    hand.button("Do the part at the bench again")
    fills_the_gate(hand, idle_deg="21.5", peak_deg="26.8")
    assert hand.page.locator("#strobe img").evaluate("picture => picture.naturalWidth") > 0
    hand.types("Middle of the pickup, mm", "12")
    hand.types("Middle of the magnets, mm", "high")
    hand.swaps("Work it out")
    hand.page.get_by_text("Enter a number, such as 12.5.").wait_for()
    hand.types("Middle of the magnets, mm", "13,3")
    hand.swaps("Work it out")
    hand.swaps("Take 0.8 and 0.5 mm from stock")
    hand.swaps("Put 0.8 and 0.5 mm back in stock")
    hand.page.get_by_role("button", name="Work it out").wait_for()
    hand.types("Degrees BTDC", "19")
    hand.swaps("Convert")
    hand.page.get_by_text("mm of piston").wait_for()
