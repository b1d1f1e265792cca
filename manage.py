#!/usr/bin/env python
"""The command line of the storeroom: `manage.py help` lists what it can do."""

import os
import sys


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopstock.settings")
    try:
        from django.core.management import execute_from_command_line  # a clear word when the venv is not used
    except ImportError:
        sys.exit("Django is not installed for this Python. Use .venv/bin/python manage.py … as the README shows.")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
