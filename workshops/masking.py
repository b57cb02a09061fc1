"""Private links are never logged: what is printed or logged goes through here first."""

from __future__ import annotations

import logging
import re

# The secret part of a private address, as ``workshops.models.links`` makes it.
SECRET = re.compile(r"(/(?:card|seat|calendar/staff|calendar)/)[A-Za-z0-9_-]{22}(?![A-Za-z0-9_-])")


def masked(text: str) -> str:
    """The text without the secret part of any private address in it.

    >>> masked("Not Found: /seat/T8ohk0KGekZBCsaODUhmOd/take/")
    'Not Found: /seat/[private]/take/'
    """
    return SECRET.sub(r"\1[private]", text)


class MaskLinks(logging.Filter):
    """Set on loggers that tell the address of a request."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Every record passes, masked."""
        record.msg, record.args = masked(record.getMessage()), ()
        if record.exc_info:
            # An error's own words may hold the address; a formatter takes what stands here.
            record.exc_text = masked(logging.Formatter().formatException(record.exc_info))
        return True
