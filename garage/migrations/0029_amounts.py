"""No amount lies outside what its column and every page can show: guarded by the database too."""

from decimal import Decimal

from django.db import migrations

from garage.migrations._bounds import bounded, bounded_or_empty

POUNDS = (Decimal(0), Decimal("999999.99"))
WHOLE_POUNDS, PENCE, PER_CENT = (0, 10_000), (0, 1_000_000), (0, 100)
MEASURES = {
    "stroke_mm": (10, 200),
    "rod_mm": (20, 400),
    "flywheel_mm": (30, 500),
    "spec_btdc": (-10, 60),
    "curve_deg": (0, 40),
    "design_rpm": (1000, 20_000),
}
COSTS = ("slot_lost_pence", "bench_check_pence", "call_pence", "bench_minute_pence", "stopped_in_time_pence")


class Migration(migrations.Migration):
    dependencies = [("garage", "0028_links_of_their_own")]

    operations = [
        *bounded("garage.freedtime", price=POUNDS),
        *bounded_or_empty("garage.machine", **MEASURES),
        *bounded_or_empty("garage.machinekind", **MEASURES),
        *bounded("garage.packerstock", thickness_mm=(0, Decimal(10)), price_each=POUNDS),
        *bounded(
            "garage.shop",
            vat_percent=PER_CENT,
            labour_per_hour=POUNDS,
            bench_limit_pounds=WHOLE_POUNDS,
            **dict.fromkeys(COSTS, PENCE),
        ),
        *bounded("garage.visit", price=POUNDS, deposit=POUNDS, deposit_paid=POUNDS, bench_limit_pounds=WHOLE_POUNDS),
        *bounded("garage.visitkind", price=POUNDS, deposit=POUNDS),
    ]
