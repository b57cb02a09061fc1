"""What every page may show: the version, and the links this person may follow."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest


def site(request: HttpRequest) -> dict[str, object]:
    """Names used by ``base.html``."""
    return {"gambrel_version": settings.VERSION}
