"""Where on the engine each fault of the bank sits, and which places the owner's drawing marks."""

from __future__ import annotations

from collections.abc import Mapping

from diagnostics.core.bank.bank import Bank
from diagnostics.core.judging.judgement import Judgement
from garage.core import routes

PLACES_OF: Mapping[str, tuple[str, ...]] = {
    "spark-module": ("cdi",),
    "pickup-coil": ("pickup",),
    "source-coil": ("stator",),
    "ht-side": ("plug", "coil"),
    "earth-or-wiring": ("earth", "stop-switch"),
    "timing-set-wrong": ("stator",),
    "pickup-misaligned": ("pickup",),
    "flywheel-key": ("key",),
    "rotor-weak": ("flywheel",),
    "pickup-reversed": ("pickup",),
    "main-jet-rich": ("jets",),
    "main-jet-lean": ("jets",),
    "needle-or-slide": ("slide",),
    "idle-circuit": ("jets",),
    "rich-otherwise": ("float", "filter"),
    "fuel-starved": ("tap", "float"),
    "air-leak": ("inlet",),
    "reed-valve": ("reed",),
    "jet-blocked": ("jets",),
    "crank-seal": ("crank",),
    "exhaust-choked": ("exhaust",),
    "low-compression": ("cylinder",),
    "clutch-slip": ("clutch",),
    "throttle-short": ("slide",),
    "head-gasket": ("head",),
    "main-bearing": ("crank",),
    "oil-pump": ("oil-pump",),
}
NEAR_THE_LIKELIEST = 0.5  # of the likeliest fault's chance: what is half as likely is looked at too; house's own rule
MOST_MARKED = 3  # places: more would point nowhere; house's own rule


def marked_places(bank: Bank, judgement: Judgement, *, route: str) -> tuple[str, ...]:
    """The places that the answers point at, likeliest first. route: the one taken, which may be a person's choice.

    Empty unless the judgement itself says the bench first: a machine that is ready has no place, one that is rung about
    is not settled, and where a rule stops it the place matters less than that it is not run. Of the likeliest group
    each fault counts that is at least half as likely as its likeliest.
    """
    if route != routes.FIX_FIRST or judgement.route != route:
        return ()
    group = judgement.leading_group
    chances = {f.id: judgement.chances.get(f.id, 0.0) for f in bank.faults if f.group == group}
    least = NEAR_THE_LIKELIEST * max(chances.values())
    likely = sorted((fault for fault, chance in chances.items() if chance >= least), key=lambda fault: -chances[fault])
    return tuple(dict.fromkeys(place for fault in likely for place in PLACES_OF.get(fault, ())))[:MOST_MARKED]
