"""Rows for the walk from the scale to the cured ham, written into the database of the settings.

Run as a module by ``test_after_walk.py``: the site under test is a process of its own.
"""

from __future__ import annotations

import os

import django


def make_course() -> None:
    """A course in pounds with one hog of 250 lb and its lead."""
    from tests import build
    from tests.cast import make_lead
    from workshops.models import Units

    workshop = build.make_workshop(name="Winter course", slug="winter", units=Units.US)
    make_lead(workshop)
    build.make_hog(workshop, tag="12", live_kg=113.4)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    make_course()
