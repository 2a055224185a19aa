"""What moves money: the soak keeps a till of its own beside the book, of what was typed and taken."""

from __future__ import annotations

from decimal import Decimal

from garage.core import states
from garage.models.visits import Visit
from jobs.models.book import Invoice
from tests.soak.browser import Browser
from tests.soak.garage import SoakGarage

PENNY = Decimal("0.01")
HOW = ("cash", "card", "transfer")


def desk_takes_a_deposit(garage: SoakGarage) -> bool:
    visit = garage.a_visit(states.DEPOSIT_AWAITED)
    return visit is not None and _writes_a_deposit(garage, visit, visit.deposit)


def desk_gives_a_deposit_back(garage: SoakGarage) -> bool:
    over = list(Visit.objects.filter(state__in=(states.CALLED_OFF, states.DID_NOT_COME), deposit_paid__gt=0))
    if not over:
        return False
    visit = garage.chance.choice(over)
    return _writes_a_deposit(garage, visit, -visit.deposit_paid)


def _writes_a_deposit(garage: SoakGarage, visit: Visit, amount: Decimal) -> bool:
    desk = garage.desk
    desk.opens(f"/visits/{visit.number}/deposit/")
    there = desk.presses("Write it in the book", "", amount=amount, how=garage.chance.choice(HOW))
    if not there or desk.path != f"/visits/{visit.number}/":  # where it goes on to once it is taken
        return False
    garage.till += amount
    return True


def boss_keeps_a_deposit(garage: SoakGarage) -> bool:
    over = list(Visit.objects.filter(deposit_then="decide", deposit_paid__gt=0))
    if not over:
        return False
    garage.boss.opens(f"/visits/{garage.chance.choice(over).number}/deposit/keep/")
    return garage.boss.presses("Keep it and issue", "", why="Called off an hour before") and garage.boss.was_taken


def desk_invoices(garage: SoakGarage) -> bool:
    done = list(Visit.objects.filter(state__in=states.IN_THE_BUILDING, card__closed_at__isnull=False, invoices=None))
    if not done:
        return False
    garage.desk.opens(f"/visits/{garage.chance.choice(done).number}/invoice/")
    return (
        garage.desk.presses("Issue the invoice", "", buyer_address="3 Mill Brow\nAmbleford") and garage.desk.was_taken
    )


def desk_sells_over_the_counter(garage: SoakGarage) -> bool:
    """Paid at once, or owed."""
    desk, price, is_paid = garage.desk, Decimal(garage.chance.randrange(100, 5000)) / 100, garage.chance.random() < 0.7
    desk.opens("/the-book/counter/")
    how = garage.chance.choice(HOW) if is_paid else "later"
    did = desk.presses("Issue the invoice", "", how=how, words_1="Plug", price_1=price) and desk.was_taken
    garage.till += price if did and is_paid else 0
    return did


def desk_is_paid(garage: SoakGarage) -> bool:
    """What is left or a part of it; and what is owed back is paid back."""
    paper = _a_paper(garage)
    if paper is None:
        return False
    garage.desk.opens(f"/invoices/{paper.number}/")
    left = _left_on(garage.desk)
    if not left:
        return False
    amount = left if garage.chance.random() < 0.8 else (left / 2).quantize(PENNY)
    how = garage.chance.choice(HOW)
    did = garage.desk.presses("Write it in the book", "/payment/", amount=amount, how=how) and garage.desk.was_taken
    garage.till += amount if did else 0
    return did


def boss_credits(garage: SoakGarage) -> bool:
    """One in three or so of those that come up: all that stands of it, or half of each line."""
    paper, boss = _a_paper(garage), garage.boss
    if paper is None or garage.chance.random() < 0.6:
        return False
    boss.opens(f"/invoices/{paper.number}/")
    left = _left_on(boss)
    boss.opens(f"/invoices/{paper.number}/credit/")
    forms = [seen.form for seen, _ in boss.forms("ssue the credit note")]
    if not forms:
        return False
    share = garage.chance.choice((1, 2))
    names = [name for name in forms[0].fields if name.startswith("line_") or name == "amount"]
    typed = {name: (Decimal(forms[0].fields[name][0]) / share).quantize(PENNY) for name in names}
    how = garage.chance.choice(HOW if "amount" in typed else (*HOW, "later"))
    did = boss.presses("ssue the credit note", "", how=how, why="It was not as agreed.", **typed) and boss.was_taken
    if did and how != "later":
        garage.till -= _goes_back(left, sum(typed.values(), Decimal(0)), kept="amount" in typed)
    return did


def _goes_back(left: Decimal, credited: Decimal, *, kept: bool) -> Decimal:
    """Only what was paid. A deposit that was kept was."""
    return credited if kept else max(Decimal(0), min(credited, credited - left))


def _a_paper(garage: SoakGarage) -> Invoice | None:
    papers = list(Invoice.objects.filter(credit_note=None).order_by("number"))
    return garage.chance.choice(papers) if papers else None


def _left_on(browser: Browser) -> Decimal:
    """As the page says it."""
    forms = [seen.form for seen, _ in browser.forms("Write it in the book", "/payment/")]
    return Decimal(forms[0].fields["amount"][0] or 0) if forms else Decimal(0)
