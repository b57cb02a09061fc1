"""The address a phone on the farm's Wi-Fi can open."""

from __future__ import annotations

import socket
from urllib.parse import urlsplit, urlunsplit

LOOPBACK = {"localhost", "127.0.0.1", "::1"}


def lan_address() -> str:
    """This machine's address on the local network, or empty. Sends nothing."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Connecting a datagram socket only chooses a route; the address is one reserved for
            # documentation (RFC 5737), so it can belong to nobody.
            probe.connect(("192.0.2.1", 9))
        except OSError:
            return ""
        found = str(probe.getsockname()[0])
    return "" if found.startswith("127.") else found


def for_phones(root: str) -> str:
    """``root`` as phones reach it: the lead may have opened the page as localhost."""
    parts = urlsplit(root.rstrip("/"))
    if parts.hostname not in LOOPBACK or not (found := lan_address()):
        return root.rstrip("/")
    port = f":{parts.port}" if parts.port else ""
    return urlunsplit((parts.scheme, found + port, parts.path, "", ""))
