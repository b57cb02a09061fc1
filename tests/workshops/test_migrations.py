"""Steps that fill data, tried by the real migrations on rows as they stood before."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# Run in an installation of its own: there the rows may be such as today's rules forbid.
STORY = """
from datetime import datetime, timedelta, UTC
from importlib import import_module
from django.core.management import call_command
from django.db import connection
from django.db.migrations.loader import MigrationLoader
from django.utils import timezone

def models_at(name):
    return MigrationLoader(connection).project_state([("workshops", name)]).apps

call_command("migrate", "workshops", "0003", verbosity=0)
old = models_at("0003_sign_up_answers_offers_and_letters")
def make(name, /, **fields):
    return old.get_model("workshops", name).objects.create(**fields)
course = make("Workshop", name="Winter", slug="winter", offer_hours=48)
home = make("Household", name="Reed")
then = datetime(2026, 1, 1, tzinfo=UTC)
def seat(**fields):
    who = make("Attendee", household=home, given_name="Ada")
    return make("Enrolment", workshop=course, attendee=who, **fields).pk
offered, ending = seat(status="offered"), seat(status="offered", offer_ends_at=then)
waiting, known = seat(status="waiting"), seat(status="waiting", waiting_since=then)
confirmed = seat(status="confirmed")

call_command("migrate", "workshops", "0005", verbosity=0)
new = models_at("0005_an_offer_has_an_end")
def times():
    seats = new.get_model("workshops", "Enrolment").objects
    return dict((pk, (ends, since)) for pk, ends, since in
                seats.values_list("pk", "offer_ends_at", "waiting_since"))
found, now, soon = times(), timezone.now(), timedelta(minutes=5)
assert abs(found[offered][0] - now - timedelta(hours=48)) < soon
assert found[ending] == (then, None)
assert abs(found[waiting][1] - now) < soon
assert found[known] == (None, then)
assert found[confirmed] == (None, None)
import_module("workshops.migrations.0004_fill_offer_ends").fill(new, None)
assert times() == found
print("told")
"""


def test_offers_and_waiting_seats_of_old_are_given_their_times(tmp_path: Path) -> None:
    """An offer ends as a new one would, who waits waits from now; others and a rerun stay."""
    environment = os.environ | {"GAMBREL_VAR": str(tmp_path), "DATABASE_URL": ""}
    ran = subprocess.run(
        [sys.executable, "manage.py", "shell", "-v0", "-c", STORY],
        cwd=ROOT, env=environment, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.stdout.strip() == "told", ran.stderr
