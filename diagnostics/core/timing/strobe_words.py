"""What each verdict of the strobe means and what to look at, best first.

Advance heats piston and head, retard heats the exhaust: references of the trade, qualitative only. The order of
what to look at is common practice, no source.
"""

from __future__ import annotations

MEANS: dict[str, tuple[str, ...]] = {
    "advances": (
        "The spark comes earlier as the revs rise: it pulls weakly low down and runs hot at the top.",
        "More heat goes into piston and head just where the load is greatest: it can pink, nip up or hole a piston.",
        "Put it right before any full-throttle run, on the road or on the rollers.",
    ),
    "erratic": (
        "The spark wanders: readings do not lie on one line, so pull and revs are uneven.",
        "A spark that now and then comes far too early can nip it up: no long full-throttle run until it is found.",
    ),
    "retards-far": (
        "The spark comes much later at the top than at tickover: it goes flat and may meet a false ceiling.",
        "The late burn goes into the exhaust: exhaust port and pipe run hot, the piston runs no hotter than it did.",
        "So large a drift is more than a fixed system shows in health: look for the cause before it is jetted.",
    ),
    "set-wrong": ("The timing holds with revs but is more than a degree from what it was made for.",),
    "eases-back": (
        "The spark eases back a degree or two with revs: harmless, a little cooler at the top.",
        "Note it and read it again at the next visit.",
    ),
    "in-spec": ("The timing is as it was made to be, from tickover to peak revs.",),
}

MEANS_SET_EARLY = (
    "It is early: sharp low down, hot in piston and head at the top, and it may pink.",
    "Set it before it is held at full throttle.",
)
MEANS_SET_LATE = ("It is late: soft to pull and hot in the exhaust; set it before it is jetted.",)

LOOK_AT: dict[str, tuple[str, ...]] = {
    "advances": (
        "whether the middle of the pickup is level with the middle of the flywheel magnets: if not, a packer under the "
        "stator plate",
        "flywheel key and taper",
        "gap between pickup and flywheel",
        "crank bearings for play",
        "ignition unit, by one known to be good",
    ),
    "erratic": (
        "pickup, its gap, its leads and their earth",
        "flywheel key and taper",
        "crank bearings for play",
        "plug, cap, lead and coil",
        "ignition unit, by one known to be good",
    ),
    "retards-far": (
        "ignition unit, by one known to be good",
        "pickup: its resistance cold and hot, its gap",
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
    "Under the strobe the flywheel looks as if it stood still: it turns at thousands a minute. Hands, hair, sleeves, "
    "cables and the lamp stay clear of flywheel, fan and belt.",
    "On its stand, in neutral, the wheel clear and guarded, ears and eyes protected; peak revs two to three seconds, "
    "and shut it at once if it rattles.",
    "Exhaust gas kills unseen: extraction on or outdoors, CO alarm on. Pipe and cylinder burn the skin.",
    "Clip on the lamp with the engine stopped: the high-tension side can kill, and it disturbs a heart pacemaker.",
    "Local codes and licensed practice come before this list.",
)  # common practice, no source
PACKER_CARE = (
    "Engine stopped and cold, plug cap off and earthed before the flywheel comes off.",
    "A puller, never a hammer; key and taper clean and dry, the nut to its torque.",
    "Turn it by hand before it is started: nothing may touch. Then set the timing afresh and strobe it again.",
)  # common practice, no source
