"""Letters on the worker's output, for a farm without a mail server."""

from __future__ import annotations

from django.core.mail.backends.console import EmailBackend
from django.core.mail.message import EmailMessage

from workshops.masking import masked


class MaskingBackend(EmailBackend):
    """Prints each letter without the secret part of its link: output is kept, links must not be."""

    def write_message(self, message: EmailMessage) -> None:
        """The letter, masked; the organizer finds the link on the person's page."""
        said = message.message().as_bytes().decode("utf-8", "replace")
        self.stream.write(f"{masked(unfolded(said))}\n{'-' * 79}\n")


def unfolded(said: str) -> str:
    """Without the soft line breaks of quoted-printable, which could cut a link in two."""
    return said.replace("=\n", "")
