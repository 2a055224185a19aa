"""What a person might type into a field that they know: by its name, else by its kind."""

from __future__ import annotations

from random import Random

from tests.soak.browser import SoakForm

TYPED: dict[str, tuple[str, ...]] = {
    "why": ("The owner rang.", "It rains."),
    "words": ("Carburettor cleaned", "Main jet 92", "The cable was frayed"),
    "note": ("", "", "Seen again."),
    "limit_pounds": ("60", "120", "200"),
    "minutes": ("15", "30", "45"),
    "price": ("25", "48.50"),
    "price_each": ("12.34", "3", "0.99"),
    "quantity": ("1", "2"),
    "name": ("Alex Keld",),
    "email": ("alex.keld@example.org",),
    "telephone": ("07700 900123",),
    "before": ("24", "20"),
    "after": ("23", "22"),
    "unit": ("° BTDC", "kW"),
    "answer": ("22", "9.5", "1400"),
}
NUMBERS = ("1", "5", "12", "30")


def filled(chance: Random, seen: SoakForm) -> dict[str, object]:
    """Hidden fields and most of what the page proposes stay as they are."""
    typed: dict[str, object] = {}
    for name, kind in seen.kinds.items():
        has = seen.form.fields.get(name, [""])[0]
        if kind in ("hidden", "file"):
            continue
        if kind in ("radio", "select"):
            typed[name] = chance.choice(seen.choices.get(name) or [""])
        elif kind == "checkbox":
            typed[name] = [value for value in seen.choices.get(name, []) if chance.random() < 0.5]
        elif not has or chance.random() < 0.2:
            typed[name] = _said(chance, name, kind)
    return typed


def _said(chance: Random, name: str, kind: str) -> str:
    if known := TYPED.get(name.rpartition("-")[2]):
        return chance.choice(known)
    if kind == "number":
        return chance.choice(NUMBERS)
    return "" if kind in ("date", "time", "datetime-local", "search") else chance.choice(("", "As it was said."))
