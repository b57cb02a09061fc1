"""What an open page needs to stay fresh: where to listen, for what, and how old it is."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from workshops import pulse
from workshops.models import Topic, Workshop


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """Read before the rest of the page, so that nothing can change unseen between the two."""

    stream_url: str
    look_url: str
    topics: str
    counts: str
    now_ms: int
    zone: str


def live(workshop: Workshop, topics: Iterable[Topic], *, now: datetime, word: str = "") -> Live:
    """For a page of the staff, or of the holder of a private link. One query."""
    name, key = ("card-", word) if word else ("", workshop.slug)
    return Live(
        stream_url=reverse(f"{name}events", args=[key]),
        look_url=reverse(f"{name}events-now", args=[key]),
        topics=" ".join(topic.value for topic in topics),
        counts=json.dumps(pulse.counts_of(workshop.pk)),
        now_ms=int(now.timestamp() * 1000),
        zone=workshop.time_zone,
    )
