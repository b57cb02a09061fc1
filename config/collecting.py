"""Style sheets and scripts, collected and compressed once for each state they are in."""

from __future__ import annotations

import hashlib
from collections.abc import Callable

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command


def collect_if_changed(*, say: Callable[[str], None]) -> None:
    """Collect unless the same files were collected before; compressing takes several seconds."""
    stamp_file = settings.VAR / "static-stamp"
    stamp = static_stamp()
    is_collected = settings.MANIFEST.exists() and stamp_file.exists()
    if is_collected and stamp_file.read_text() == stamp:
        return
    say("Collecting style sheets and scripts (the first time takes a while) ...")
    call_command("collectstatic", interactive=False, clear=True, verbosity=0)
    stamp_file.write_text(stamp)


def static_stamp() -> str:
    """A hash over every static file of the app and its packages, and over how they are kept."""
    whole = hashlib.sha256(settings.STORAGES["staticfiles"]["BACKEND"].encode())
    for finder in get_finders():
        for name, storage in sorted(finder.list([]), key=lambda found: found[0]):
            with storage.open(name) as file:
                whole.update(f"\n{name}\n".encode())
                whole.update(hashlib.sha256(file.read()).digest())
    return whole.hexdigest()
