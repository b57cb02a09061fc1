"""What the trough's page and the logs after the kill refuse, and what they ask about.

DipError
├── DipRefused       an act that does not fit the dip as it stands; nothing is written
└── ReadingQuestioned  a number to be confirmed by whoever read it; nothing is written yet
RecordRefused        an entry of a log after the kill that does not fit; nothing is written
"""

from __future__ import annotations


class DipError(Exception):
    """Anything the trough does not simply write down."""


class DipRefused(DipError):
    """An act that does not fit the dip: the sentence says why, and what to do instead."""


class ReadingQuestioned(DipError):
    """A number to be asked about. ``read_c`` is kept for the form; the sentence is the question."""

    def __init__(self, question: str, *, read_c: float) -> None:
        self.read_c = read_c
        super().__init__(question)


class RecordRefused(Exception):
    """An entry that does not fit its log: the sentence says why, and what to write instead."""
