"""What owners do: they book, confirm, answer, move, call off, say yes or no. They have mails and links, no more."""

from __future__ import annotations

import re

from garage.core import states
from garage.models.visits import Visit
from jobs.tour.facts import of_seed
from tests.soak.browser import Browser
from tests.soak.garage import SoakGarage
from tests.soak.typed import filled

KINDS = ("set-up", "set-up", "set-up", "power-run", "bench-check")
MOST_QUESTIONS = 25
TELLING = ("misfires", "top", "ceiling", "tan", "no", "quickly")  # of a machine to be put right first
A_FILE = (".pdf", ".svg", ".jpg", "/clip/")
OWNERS_MAY = re.compile(r"^/visit/[^/]+/(?!call-off|move|time|report|reminders)|^/sheet/")
WITH_A_LINK = (states.DEPOSIT_AWAITED, states.BOOKED, states.TO_PUT_RIGHT, *states.IN_THE_BUILDING)


def books_online(garage: SoakGarage) -> bool:
    """Some give up on the way, and their hold lapses; some do not confirm."""
    owner, chance = garage.an_owner(), garage.chance
    owner.opens(f"/book/{chance.choice(KINDS)}/")
    days = [address for _, address in owner.page.links if "day=" in address]
    if days:
        owner.opens(chance.choice(days[:6]))
    times = [button for _, button in owner.forms() if button.name == "starts_at"]
    if not times or not owner.presses(chance.choice(times).value) or chance.random() < 0.1:
        return bool(times)
    who = of_seed(chance.randrange(10_000))
    kind = chance.choice(owner_machines(owner))
    sooner = chance.choice(("", "", "24", "48"))
    owner.presses("Check it all", "", name=who.name, email=who.email, telephone=who.telephone, machine_kind=kind,
                  sooner_notice_hours=sooner, wants="It stutters at the top.")  # fmt: skip
    return owner.presses("Book it")


def owner_machines(owner: Browser) -> list[str]:
    return [
        value
        for seen, _ in owner.forms("Check it all")
        for value in seen.choices.get("machine_kind", [])
        if value.isdigit()
    ] or [""]


def confirms(garage: SoakGarage) -> bool:
    """By the mail's link, in time or after it has lapsed."""
    visit = garage.a_visit(states.HELD, states.HELD, states.LAPSED)
    link = visit and garage.link(visit, r"visit/[^/\s]+/confirm/")
    if not link:
        return False
    owner = garage.an_owner()
    owner.opens(link)
    return owner.presses("Yes, I’m coming") or owner.presses("Take it, if it is still free")


def _at_the_page_of(garage: SoakGarage, visit: Visit | None) -> Browser | None:
    link = visit and garage.link(visit)
    if not link:
        return None
    owner = garage.an_owner()
    owner.opens(link)
    return owner


def fills_the_sheet(garage: SoakGarage) -> bool:
    """Whatever is asked is answered with one of the buttons: most are not sure, and some machines must not run."""
    visit = garage.a_visit(states.BOOKED, states.DEPOSIT_AWAITED)
    link = visit and garage.link(visit, r"sheet/[^/\s]+/")
    if not link:
        return False
    owner = garage.an_owner()
    owner.opens(link)
    if not any("Start" in words for words, _ in owner.page.links):
        return False
    owner.opens(next(address for words, address in owner.page.links if "Start" in words))
    for _ in range(MOST_QUESTIONS):
        if not _answers_one(garage, owner):
            break
    owner.opens(link)
    send = [address for words, address in owner.page.links if "Finish and send" in words]
    if not send:
        return True
    owner.opens(send[0])
    return owner.presses("Send the sheet")


def _answers_one(garage: SoakGarage, owner: Browser) -> bool:
    there = [(seen, button) for seen, button in owner.forms() if "answer" in (button.name, *seen.form.names)]
    if not there or "Your answers" in owner.page.text:
        return False
    telling = [each for each in there if each[1].value in TELLING and garage.chance.random() < 0.7]
    seen, button = (telling or [garage.chance.choice(there)])[0]
    owner.sends(seen, button, filled(garage.chance, seen))
    return owner.was_taken


def moves(garage: SoakGarage) -> bool:
    owner = _at_the_page_of(garage, garage.a_visit(states.BOOKED, states.DEPOSIT_AWAITED))
    return owner is not None and _takes_another_time(garage, owner, "/move/")


def picks_a_time(garage: SoakGarage) -> bool:
    """After it was put right at home."""
    owner = _at_the_page_of(garage, garage.a_visit(states.TO_PUT_RIGHT, states.BOOKED))
    return owner is not None and _takes_another_time(garage, owner, "/time/")


def leaves_it_with_the_garage(garage: SoakGarage) -> bool:
    owner = _at_the_page_of(garage, garage.a_visit(states.TO_PUT_RIGHT, states.BOOKED, states.DEPOSIT_AWAITED))
    if owner is None:
        return False
    owner.opens(f"{owner.path}leave/")
    times = [button for _, button in owner.forms() if button.name == "starts_at"]
    if not owner.was_taken or not times:
        return False
    owner.presses(garage.chance.choice(times).value)
    return owner.presses("Yes, I leave it with you", "", limit_pounds=garage.chance.choice(("60", "150")))


def _takes_another_time(garage: SoakGarage, owner: Browser, ends: str) -> bool:
    owner.opens(f"{owner.path.rstrip('/')}{ends}")
    days = [address for _, address in owner.page.links if "day=" in address]
    if days and garage.chance.random() < 0.5:
        owner.opens(garage.chance.choice(days))
    times = [button for _, button in owner.forms() if button.name == "starts_at"]
    return owner.was_taken and bool(times) and owner.presses(garage.chance.choice(times).value)


def calls_off(garage: SoakGarage) -> bool:
    owner = _at_the_page_of(garage, garage.a_visit(states.BOOKED, states.DEPOSIT_AWAITED, states.TO_PUT_RIGHT))
    if owner is None or garage.chance.random() < 0.5:
        return False
    owner.opens(f"{owner.path}call-off/")
    return owner.presses("Yes, call it off")


def answers_an_offer(garage: SoakGarage) -> bool:
    """A freed time, or whether the work may go on in one."""
    return _answers_by_link(garage, r"visit/[^/\s]+/offer/\d+/", WITH_A_LINK)


def answers_what_was_asked(garage: SoakGarage) -> bool:
    """Extra work with its price, or an estimate."""
    return _answers_by_link(garage, r"visit/[^/\s]+/(?:asked|estimate)/\d+/", WITH_A_LINK)


def _answers_by_link(garage: SoakGarage, ends: str, in_states: tuple[str, ...]) -> bool:
    asked = [visit for visit in Visit.objects.filter(state__in=in_states) if garage.link(visit, ends)]
    if not asked:
        return False
    owner = garage.an_owner()
    owner.opens(garage.link(garage.chance.choice(asked), ends))
    return owner.presses(garage.chance.choice(("yes", "yes", "no")))


def joins_standby(garage: SoakGarage) -> bool:
    owner = _at_the_page_of(garage, garage.a_visit(states.BOOKED, states.DEPOSIT_AWAITED))
    if owner is None:
        return False
    owner.opens(f"{owner.path}standby/")
    there = [(seen, button) for seen, button in owner.forms() if seen.form.method == "post"]
    if not there:
        return False
    owner.sends(
        *there[0],
        {"notice_hours": garage.chance.choice(("3", "24"))} if "notice_hours" in there[0][0].form.names else {},
    )
    return owner.was_taken


def presses_what_is_there(garage: SoakGarage) -> bool:
    """Anything on the owner's page, or on one that it leads to."""
    owner = _at_the_page_of(garage, garage.a_visit(*WITH_A_LINK))
    if owner is None:
        return False
    further = [address for _, address in owner.page.links if OWNERS_MAY.match(address) and not address.endswith(A_FILE)]
    if further and garage.chance.random() < 0.7:
        owner.opens(garage.chance.choice(further))
    return bool(owner.presses_anything(garage.chance, filled, lambda path: bool(OWNERS_MAY.match(path))))
