"""One walk in a program of its own, on the garage of DATA and DATABASE_URL: what it says is one JSON object."""

from __future__ import annotations

import json
import sys

import django
from django.test.utils import setup_test_environment

django.setup()

from tests.junk.walk import walked  # noqa: E402  # it imports models, which need the settings


def main() -> None:
    posts, seed = int(sys.argv[1]), int(sys.argv[2])
    setup_test_environment(debug=False)
    walk = walked(posts, seed)
    said = {"posts": posts, "seed": seed, "forms": len(walk.forms), "answered": walk.answered, "wrong": walk.wrong}
    print(json.dumps(said))  # noqa: T201


if __name__ == "__main__":
    main()
