"""The guides to looking and measuring with the engine off: spark, fuel, air, and what the ear hears."""

from __future__ import annotations

from diagnostics.core.guides.drawn.looking import air_leak, earths, fuel, hear, plug_chop, spark, windings
from diagnostics.core.guides.guide import Guide
from diagnostics.core.guides.sounds import SOUNDS, UNNAMED
from garage.core.text.languages import told_later

LOOKING: tuple[Guide, ...] = (
    Guide(
        place=2,
        slug="hear-the-difference",
        title=told_later("Hear the difference"),
        tells=told_later("Six sounds and their pictures teach the ear why an engine that breaks down isn’t rich."),
        drawings=hear.DRAWINGS,
        questions=("rev_out",),
        routes=("fix-first", "phone-first"),
        mails=("sheet_outcome_fix_first", "sheet_outcome_phone_first"),
        sounds=SOUNDS,
        unnamed=UNNAMED,
    ),
    Guide(
        place=6,
        slug="plug-cap-lead",
        title=told_later("Plug, cap and lead"),
        tells=told_later("Plug, cap and lead are the cheapest part of a spark to check, and should be the first."),
        drawings=spark.DRAWINGS,
        questions=("new_plug", "damp"),
        steps=("plug", "gap-tester", "coil"),
    ),
    Guide(
        place=7,
        slug="earths-and-stop-switch",
        title=told_later("Earths and stop switch"),
        tells=told_later("A spark needs a clean way back, and a wet stop switch gives it a short one."),
        drawings=earths.DRAWINGS,
        questions=("earths", "kill_lead", "damp"),
        steps=("earths", "loom"),
        opens_throttle=True,
    ),
    Guide(
        place=8,
        slug="measuring-windings",
        title=told_later("Measuring windings, cold and hot"),
        tells=told_later(
            "A winding that fails only hot reads well in a cold garage, and is caught by warming it on the meter."
        ),
        drawings=windings.DRAWINGS,
        questions=("heat", "hot_start"),
        steps=("resistance", "peak-voltage", "pickup", "source-winding", "unit-output"),
    ),
    Guide(
        place=9,
        slug="fuel-flow",
        title=told_later("Fuel flow, float, filter, old petrol"),
        tells=told_later("An engine that dies slowly at full throttle may only be running out of petrol in its bowl."),
        drawings=fuel.DRAWINGS,
        questions=("fuel_flow", "fuel", "stood"),
        steps=("flow", "breather", "drain", "float", "jets", "choke-and-filter", "leak"),
    ),
    Guide(
        place=10,
        slug="air-leak",
        title=told_later("Air leak"),
        tells=told_later("Air that comes in past the carburettor makes an engine lean, and a lean two-stroke seizes."),
        drawings=air_leak.DRAWINGS,
        questions=("falls_back", "half_choke"),
        steps=("rubber", "pressure"),
        opens_throttle=True,
    ),
    Guide(
        place=11,
        slug="plug-chop",
        title=told_later("Plug chop"),
        tells=told_later(
            "A plug only tells if the engine was stopped dead at full load, and that is no job for the road."
        ),
        drawings=plug_chop.DRAWINGS,
        questions=("plug",),
        opens_throttle=True,
    ),
)
