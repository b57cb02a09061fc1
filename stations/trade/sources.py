"""Where a number comes from and how far to trust it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Trust(StrEnum):
    """How a value came to us. Only a published or computed one may decide a pass alone."""

    PUBLISHED = "published"
    COMPUTED = "computed"
    PRACTICE = "practice"
    MEMORY = "memory"

    @property
    def words(self) -> str:
        """What the screen says."""
        return {
            Trust.PUBLISHED: "published",
            Trust.COMPUTED: "computed from named inputs",
            Trust.PRACTICE: "common practice, no source",
            Trust.MEMORY: "from memory",
        }[self]

    @property
    def may_decide(self) -> bool:
        """Whether a value so trusted may decide a pass alone."""
        return self in {Trust.PUBLISHED, Trust.COMPUTED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """A text a value was taken from, with the place in it.

    >>> str(Source(title="Farmers' Bulletin 2265", place="Scalding", trust=Trust.PUBLISHED))
    "Farmers' Bulletin 2265, Scalding (published)"
    """

    title: str
    place: str = ""
    trust: Trust

    def __str__(self) -> str:
        where = f"{self.title}, {self.place}" if self.place else self.title
        return f"{where} ({self.trust.words})"


PRACTICE = Source(title="the trade", trust=Trust.PRACTICE)
