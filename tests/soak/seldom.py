"""What the boss does now and then: days closed, doubles joined, everything taken away, an owner erased."""

from __future__ import annotations

from datetime import timedelta

from garage.core import states
from garage.models.owners import Owner
from tests.soak.garage import SoakGarage
from tests.soak.typed import filled


def boss_closes_a_day(garage: SoakGarage) -> bool:
    """Two weeks off or more, also one on which machines are expected; or opens one again."""
    boss, chance = garage.boss, garage.chance
    boss.opens("/shop/days/")
    if chance.random() < 0.5:
        return bool(boss.presses_anything(chance, filled, lambda path: path.endswith("/forget/")))
    day = garage.local.day(garage.now) + timedelta(days=chance.randrange(14, 28))
    return boss.presses("Add", "", day=f"{day:%Y-%m-%d}", why="Stocktaking") and boss.was_taken


def boss_joins_doubles(garage: SoakGarage) -> bool:
    """Owners of one name or address, machines of one owner; whom the page proposes, or anybody of the group."""
    garage.boss.opens("/owners/doubles/")
    chosen = filled if garage.chance.random() < 0.5 else lambda _chance, _seen: {}
    return bool(garage.boss.presses_anything(
        garage.chance, chosen, lambda path: path.startswith(("/owners/join/", "/machines/join/", "/joins/"))
    ))  # fmt: skip


def boss_asks_for_everything(garage: SoakGarage) -> bool:
    """The next sweep makes the file."""
    if garage.chance.random() < 0.7:
        return False
    garage.boss.opens("/shop/everything/")
    return garage.boss.presses("Make the file") or garage.boss.presses("Delete it now")


def boss_erases_an_owner(garage: SoakGarage) -> bool:
    """Seldom: one whose visits are over."""
    owners = list(Owner.objects.exclude(visits__state__in=set(states.WORDS) - states.OVER).order_by("pk"))
    if not owners or garage.chance.random() < 0.8:
        return False
    garage.boss.opens(f"/owners/{garage.chance.choice(owners).pk}/erase/")
    return bool(garage.boss.presses_anything(garage.chance, filled, lambda path: path.endswith("/erase/")))
