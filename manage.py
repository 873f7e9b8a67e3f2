#!/usr/bin/env python3
"""Command line of the service; says how to install what is missing."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clinic.settings")
    try:
        from django.core.management import execute_from_command_line
    except ModuleNotFoundError:
        sys.exit(
            "Django is not installed for this Python. Run:\n"
            "  python3 -m venv .venv && .venv/bin/pip install --require-hashes"
            " -r requirements/base.txt\n"
            "and then use .venv/bin/python manage.py"
        )
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
