"""One soak in a program of its own, on the garage of DATA and DATABASE_URL: what it says is one JSON object."""

from __future__ import annotations

import json
import sys
import time

import django
from django.test.utils import setup_test_environment

django.setup()

from tests.soak.garage import soaked  # noqa: E402  # it imports models, which need the settings
from tests.soak.month import PACES, lives  # noqa: E402


def main() -> None:
    seed, days = int(sys.argv[1]), int(sys.argv[2])
    setup_test_environment(debug=False)
    began_s = time.process_time()
    with soaked(seed, PACES["bench"]) as garage:
        wrong = ""
        try:
            lives(garage, days)
        except Exception as error:  # noqa: BLE001  # whatever it is, it is what the soak looks for
            wrong = garage.told(error)
    said = {
        "seed": seed,
        "days": (garage.now - garage.began).days,
        "cpu_s": round(time.process_time() - began_s),
        "did": garage.did,
        "answered": garage.answered,
        "reached": garage.watch.reached,
        "moves": {f"{was} → {then}": count for (was, then), count in garage.watch.moves.items()},
        "wrong": wrong,
    }
    print(json.dumps(said))  # noqa: T201


if __name__ == "__main__":
    main()
