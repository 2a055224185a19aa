"""Drawn days made by hand: one roller, two benches, two people, 08:30 to 17:00."""

from __future__ import annotations

from dataclasses import replace

from garage.core.planning.weeks.drawn_weeks import DrawnDay, DrawnMachine, RealMinutes, Workshop

SHOP = Workshop()  # checks of 20 minutes, repairs of 50


def machine(number: str, promised: int | None = None, **changed: object) -> DrawnMachine:
    """A sure machine of an hour on the rollers that takes exactly what is planned."""
    here = SHOP.opens if promised is None else promised - 30
    real = RealMinutes(check=20, fix=50, roller=60)
    return replace(DrawnMachine(number, here, promised, 1.0, True, True, 60, 8000, real), **changed)


def real(check: int = 20, fix: int = 50, roller: int = 60) -> RealMinutes:
    return RealMinutes(check, fix, roller)


def a_day(*machines: DrawnMachine) -> DrawnDay:
    return DrawnDay(SHOP, machines)
