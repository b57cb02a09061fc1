"""The whole site's rows in a database of its own; prints the addresses of its pages.

Run as a module by ``test_accessible.py``: the site under test is a process of its own.
"""

from __future__ import annotations

import json
import os
import sys

import django

WORD = "a long word for tests"


def make() -> dict[str, object]:
    """Somebody of each role, and every address that shows a page to the organizer or by card."""
    from django.conf import settings
    from django.test import Client

    from tests import cast, whole_site

    settings.STORAGES["staticfiles"] = {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
    }
    site = whole_site.build()
    organizer = cast.make_organizer()
    organizer.set_password(WORD)
    organizer.save()
    client = Client(HTTP_HOST="localhost")
    client.force_login(organizer)
    found = []
    for name, _, _ in whole_site.pages():
        address = site.address(name)
        answer = client.get(address)
        # Not the files and streams, nor the parts of a page that a script asks for.
        is_text = answer.status_code == 200 and answer["Content-Type"].startswith("text/html")
        if is_text and b"<!doctype html>" in answer.content:
            found.append(address)
        answer.close()
    return {"pages": found, "card": site.address("card"), "slug": site.workshop.slug}


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    sys.stdout.write(json.dumps(make()))
