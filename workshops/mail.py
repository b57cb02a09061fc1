"""Letters on the worker's output, for a farm without a mail server."""

from __future__ import annotations

import re

from django.core.mail.backends.console import EmailBackend
from django.core.mail.message import EmailMessage

# The secret part of a private address, as ``workshops.models.links`` makes it.
SECRET = re.compile(r"(/(?:card|seat|calendar)/)[A-Za-z0-9_-]{22}")


class MaskingBackend(EmailBackend):
    """Prints each letter without the secret part of its link: output is kept, links must not be."""

    def write_message(self, message: EmailMessage) -> None:
        """The letter, masked; the organizer finds the link on the person's page."""
        said = message.message().as_bytes().decode("utf-8", "replace")
        masked = SECRET.sub(r"\1[private]", unfolded(said))
        self.stream.write(f"{masked}\n{'-' * 79}\n")


def unfolded(said: str) -> str:
    """Without the soft line breaks of quoted-printable, which could cut a link in two."""
    return said.replace("=\n", "")
