"""What the garage's people do on its pages: what comes next on a visit, and now and then anything that is there."""

from __future__ import annotations

import re
from decimal import Decimal

from diagnostics.core.gate_list import COMPRESSION, HIGHEST_REVS, REV_OUT_LINE, SECOND_LINE, STROBE_LINE
from garage.core import states
from garage.models.owners import Machine, Owner
from garage.models.people import Person
from garage.models.visits import Visit
from jobs.models.cards import Card
from jobs.tour.facts import of_seed
from tests.soak.browser import Browser, SoakForm
from tests.soak.garage import SoakGarage
from tests.soak.typed import filled

HERE = tuple(states.IN_THE_BUILDING)
COMING = (states.BOOKED, states.DEPOSIT_AWAITED, states.TO_PUT_RIGHT)
MONEY = r"/deposit/|/payment/|/credit|/invoice/$|/the-book/|/collected/"  # done by deeds that keep the till beside it
STAFF_MAY = re.compile(
    rf"^(?!.*(?:{MONEY}|/call-off/|/erase/|/link/revoke/))/(?:visits/\d|steps/|day/|ring-list|fix-first|standby|estimates|machines/\d)"
)
WARN = 0.01  # how often a line of the gate is not in order


def desk_books(garage: SoakGarage) -> bool:
    """On the telephone: for a machine that was here, or a new owner."""
    desk, chance = garage.desk, garage.chance
    known = chance.choice([None, None, *Machine.objects.filter(visits__isnull=False).order_by("pk")[:20]])
    kind = chance.choice(("set-up", "power-run", "bench-check"))
    desk.opens(f"/visits/new/?kind={kind}" + (f"&machine={known.pk}" if known else ""))
    found = [each for each in desk.forms("Book it") if each[0].form.method == "post"]
    if not found:
        return False
    seen, button = found[-1]
    who = of_seed(chance.randrange(10_000))
    typed = filled(chance, seen)
    typed |= {
        name: value
        for name, value in (("name", who.name), ("email", who.email), ("telephone", who.telephone))
        if name in seen.kinds
    }
    desk.sends(seen, button, typed)
    return desk.was_taken


def desk_takes_in(garage: SoakGarage) -> bool:
    """Who is due today, sometimes who came early."""
    due = [visit for visit in Visit.objects.filter(state__in=COMING) if _is_today(garage, visit)]
    if not due:
        return False
    garage.desk.opens(f"/visits/{garage.chance.choice(due).number}/take-in/")
    return garage.desk.presses(garage.chance.choice(("ridden", "trailer")), "", came_with="A box of jets")


def _is_today(garage: SoakGarage, visit: Visit) -> bool:
    return visit.starts_at is not None and garage.local.day(visit.starts_at) <= garage.local.day(garage.now)


def desk_phones(garage: SoakGarage) -> bool:
    """The ring list: rung, nobody there, or said yes."""
    garage.desk.opens("/ring-list/")
    return bool(garage.desk.presses_anything(garage.chance, filled, lambda path: path.startswith("/ring-list/")))


def desk_gives_a_time(garage: SoakGarage) -> bool:
    visit = garage.a_visit(states.TO_PUT_RIGHT, *HERE)
    if visit is None or visit.starts_at:
        return False
    garage.desk.opens(f"/visits/{visit.number}/time/")
    return bool(garage.desk.presses_anything(garage.chance, filled, lambda path: path.endswith("/time/")))


def desk_moves(garage: SoakGarage) -> bool:
    visit = garage.a_visit(*COMING)
    if visit is None or not visit.starts_at:
        return False
    garage.desk.opens(f"/visits/{visit.number}/move/")
    return bool(garage.desk.presses_anything(garage.chance, filled, lambda path: "/move/" in path))


def desk_calls_off(garage: SoakGarage) -> bool:
    visit = garage.a_visit(*COMING)
    if visit is None:
        return False
    garage.desk.opens(f"/visits/{visit.number}/{garage.chance.choice(('call-off', 'put-off'))}/")
    return bool(garage.desk.presses_anything(garage.chance, filled, lambda path: "-off/" in path))


def desk_says_it_did_not_come(garage: SoakGarage) -> bool:
    late = list(Visit.objects.filter(state__in=COMING, starts_at__lt=garage.now))
    if not late:
        return False
    garage.desk.opens(f"/visits/{garage.chance.choice(late).number}/")
    return garage.desk.presses("It did not come")


def boss_judges(garage: SoakGarage) -> bool:
    """The judgement of a sheet, or of what the bench found."""
    asked = list(Visit.objects.filter(state__in=(*COMING, *HERE)).exclude(route_asked=""))
    if not asked:
        return False
    garage.boss.opens(f"/visits/{garage.chance.choice(asked).number}/findings/")
    return bool(garage.boss.presses_anything(garage.chance, filled, lambda path: "/judgement/" in path))


def mechanic_goes_through_the_gate(garage: SoakGarage) -> bool:
    """All that can be answered now, in order but for a few lines; then the end of that part."""
    visit, mechanic, chance = garage.a_visit(*HERE), garage.mechanic, garage.chance
    if visit is None:
        return False
    gate = f"/visits/{visit.number}/gate/"
    mechanic.opens(gate)
    did = mechanic.presses("Start the gate") or mechanic.presses("It stands on")
    if not did and chance.random() < 0.5:
        did = mechanic.presses("Do the gate again")
    for _ in range(3):  # some lines are offered once others are in order
        lines = {seen.form.action: seen for seen, _ in mechanic.forms(action="/") if "/answer/" in seen.form.action}
        for action, seen in lines.items():
            if _answers_a_line(garage, mechanic, action, seen):
                did = True
        mechanic.opens(gate)
        if mechanic.presses("Finish: "):
            return True
    if chance.random() < 0.3:
        did = bool(mechanic.presses_anything(chance, filled, lambda path: "/gate/" in path)) or did
    return did


def _answers_a_line(garage: SoakGarage, mechanic: Browser, action: str, seen: SoakForm) -> bool:
    line, fails = action.rstrip("/").rpartition("/")[2], garage.chance.random() < WARN
    spec = re.search(r"Spec: ([\d.]+)", mechanic.page.text)
    deg = Decimal(spec[1]) if spec else Decimal(20)
    typed: dict[str, dict[str, object]] = {
        COMPRESSION: {"value": "9.5"},
        STROBE_LINE: {"idle_rpm": 1400, "idle_deg": deg, "peak_rpm": 8000, "peak_deg": deg - Decimal("0.5")},
        SECOND_LINE: {"second_person": Person.objects.get(username="desk").pk},
    }
    buttons = {each.value: each for each in seen.form.buttons if each.value}
    wanted = {REV_OUT_LINE: "clean", HIGHEST_REVS: "na"}.get(line, "ok")
    button = buttons.get("bad") if fails and "bad" in buttons else buttons.get(wanted)
    if button is None:
        button = next(iter(buttons.values()), None)
    if button is None:
        return False
    given = {name: value for name, value in typed.get(line, {}).items() if name in seen.form.names}
    mechanic.sends(seen, button, given, then_looks=False)
    return True


def mechanic_works_by_the_day_sheet(garage: SoakGarage) -> bool:
    """Begins or finishes whatever the day sheet offers."""
    garage.mechanic.opens("/day/")
    return bool(garage.mechanic.presses_anything(
        garage.chance, filled, lambda path: path.startswith("/steps/") and path.endswith(("begin/", "end/"))
    ))  # fmt: skip


def mechanic_works_on_the_card(garage: SoakGarage) -> bool:
    visit = garage.a_visit(*HERE)
    if visit is None:
        return False
    garage.mechanic.opens(f"/visits/{visit.number}/card/")
    return bool(
        garage.mechanic.presses_anything(garage.chance, filled, lambda path: "/card/" in path and "/close/" not in path)
    )


def boss_asks_for_more_work(garage: SoakGarage) -> bool:
    visit = garage.a_visit(*HERE)
    if visit is None:
        return False
    garage.boss.opens(f"/visits/{visit.number}/card/ask/")
    return bool(garage.boss.presses_anything(garage.chance, filled, lambda path: "/card/ask/" in path))


def boss_estimates(garage: SoakGarage) -> bool:
    """A new one, a line more, or its issue."""
    visit = garage.a_visit(*COMING, *HERE)
    if visit is None:
        return False
    garage.boss.opens(f"/visits/{visit.number}/")
    links = [address for _, address in garage.boss.page.links if re.match(r"/estimates/\d+/(draft/)?$", address)]
    if not links:
        return garage.boss.presses("Write an estimate")
    garage.boss.opens(garage.chance.choice(links))
    return bool(garage.boss.presses_anything(garage.chance, filled, lambda path: path.startswith("/estimates/")))


def boss_closes_a_card(garage: SoakGarage) -> bool:
    worked_on = Card.objects.filter(closed_at=None, visit__state__in=HERE, visit__steps__ended_at__isnull=False)
    cards = list(worked_on.exclude(visit__steps__began_at__isnull=False, visit__steps__ended_at=None).distinct())
    if not cards:
        return False
    card, boss = f"/visits/{garage.chance.choice(cards).visit.number}/card/", garage.boss
    boss.opens(card)
    for left_open in ("/stop/", "/came/"):  # a clock that runs, a part that is waited for
        if there := boss.forms(action=left_open):
            boss.sends(*there[0], {})
            boss.opens(card)
    return bool(boss.presses_anything(garage.chance, filled, lambda path: path.endswith("/card/close/")))


def desk_hands_it_over(garage: SoakGarage) -> bool:
    """Ready, and collected."""
    done = list(Visit.objects.filter(state__in=HERE, card__closed_at__isnull=False))
    if not done:
        return False
    garage.desk.opens(f"/visits/{garage.chance.choice(done).number}/")
    return garage.desk.presses("Ready: tell the owner") or garage.desk.presses("It was collected")


def anybody_presses_what_is_there(garage: SoakGarage) -> bool:
    """Any button of any page about a visit."""
    visit = garage.a_visit(*COMING, *HERE)
    if visit is None:
        return False
    who = garage.chance.choice((garage.boss, garage.mechanic, garage.desk))
    page = garage.chance.choice(
        ("", "", "card/", "findings/", "gate/", "standby/", "runs/", "write/", "bench-limit/", "safety/")
    )
    who.opens(f"/visits/{visit.number}/{page}")
    further = [address for _, address in who.page.links if STAFF_MAY.match(address) and "." not in address]
    if further and garage.chance.random() < 0.4:
        who.opens(garage.chance.choice(further))
    return bool(who.presses_anything(garage.chance, filled, lambda path: bool(STAFF_MAY.match(path))))


def anybody_works_on_the_day_sheet(garage: SoakGarage) -> bool:
    who = garage.chance.choice((garage.boss, garage.mechanic, garage.desk))
    who.opens(garage.chance.choice(("/day/", "/fix-first/", "/standby/", "/week/")))
    return bool(who.presses_anything(garage.chance, filled, lambda path: bool(STAFF_MAY.match(path))))


def boss_erases_an_owner(garage: SoakGarage) -> bool:
    """Seldom: one whose visits are over."""
    owners = list(Owner.objects.exclude(visits__state__in=set(states.WORDS) - states.OVER).order_by("pk"))
    if not owners or garage.chance.random() < 0.8:
        return False
    garage.boss.opens(f"/owners/{garage.chance.choice(owners).pk}/erase/")
    return bool(garage.boss.presses_anything(garage.chance, filled, lambda path: path.endswith("/erase/")))
