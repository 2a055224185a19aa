"""What each strobe verdict means, and what to check, likeliest first.

Advance heats the piston and head, retard heats the exhaust: the trade's own references, qualitative only. The order of
the checks is common practice, no source.
"""

from __future__ import annotations

MEANS: dict[str, tuple[str, ...]] = {
    "advances": (
        "The spark comes earlier as the revs rise: weak at low revs, too hot at high revs.",
        "The piston and head take more heat just when the load is greatest: it can pink, nip up or hole a piston.",
        "Put it right before any full-throttle run, on the road or on the rollers.",
    ),
    "erratic": (
        "The spark wanders: the readings do not lie on one line, so pull and revs are uneven.",
        "A spark that now and then comes far too early can nip it up. No long full-throttle run until that is found.",
    ),
    "retards-far": (
        "The spark comes much later at high revs than at tickover: it goes flat and may hit a false ceiling.",
        "The late burn goes into the exhaust: the exhaust port and pipe run hot, the piston no hotter than before.",
        "A healthy fixed system does not drift that far. Find the cause before it is jetted.",
    ),
    "set-wrong": ("The timing holds with revs but is more than a degree off its spec.",),
    "eases-back": (
        "The spark eases back a degree or two with revs: harmless, and a little cooler at high revs.",
        "Note it and check it again at the next visit.",
    ),
    "in-spec": ("The timing is as it should be, from tickover to peak revs.",),
}

MEANS_SET_EARLY = (
    "It is early: sharp at low revs, hot in the piston and head at high revs, and it may pink.",
    "Set it before it is held at full throttle.",
)
MEANS_SET_LATE = ("It is late: soft to pull and hot in the exhaust. Set it before it is jetted.",)

LOOK_AT: dict[str, tuple[str, ...]] = {
    "advances": (
        "the middles of the pickup and the flywheel magnets: if they are not level, a packer under the stator plate",
        "flywheel key and taper",
        "gap between pickup and flywheel",
        "crank bearings for play",
        "ignition unit: try a known good one",
    ),
    "erratic": (
        "pickup: its gap, its leads and their earth",
        "flywheel key and taper",
        "crank bearings for play",
        "plug, cap, lead and coil",
        "ignition unit: try a known good one",
    ),
    "retards-far": (
        "ignition unit: try a known good one",
        "pickup: its resistance cold and hot, and its gap",
        "stator charging winding, or the supply on a battery system",
        "earth leads and their bolts",
    ),
    "set-wrong": (
        "the mark itself: find top dead centre with a dial gauge and check the mark against it",
        "position of the stator plate",
        "flywheel key and taper",
        "whether flywheel, stator and ignition unit belong together",
    ),
    "eases-back": (),
    "in-spec": (),
}

STROBE_CARE = (
    "Under the strobe the flywheel looks as if it is standing still. It is turning at thousands a minute. Keep hands, "
    "hair, sleeves, cables and the lamp clear of flywheel, fan and belt.",
    "On its stand, in neutral, the wheel clear and guarded, ears and eyes protected. Hold peak revs for two to three "
    "seconds, and shut it at once if it rattles.",
    "Exhaust gas kills unseen: extraction on or outdoors, CO alarm on. The pipe and cylinder burn.",
    "Clip the lamp on with the engine stopped: high tension can kill, and it disturbs heart pacemakers.",
    "Local codes and licensed practice come before this list.",
)  # common practice, no source
PACKER_CARE = (
    "Engine stopped and cold, plug cap off and earthed before the flywheel comes off.",
    "Use a puller, never a hammer. Key and taper clean and dry, the nut to its torque.",
    "Turn it over by hand before you start it: nothing may touch. Then reset the timing and strobe it again.",
)  # common practice, no source
