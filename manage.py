#!/usr/bin/env python
"""Django's command line."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "garage.settings")
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:  # a variable that the settings cannot use: it says which
        sys.exit(f"Not done: {error}")


if __name__ == "__main__":
    main()
