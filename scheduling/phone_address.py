"""The address of a page as a phone on the farm's Wi-Fi opens it."""

from __future__ import annotations

from urllib.parse import urlsplit, urlunsplit

from scheduling.farm_network import farm_addresses

LOOPBACK = {"localhost", "127.0.0.1", "::1"}


def for_phones(root: str) -> str:
    """``root`` as phones reach it: the lead may have opened the page as localhost.

    Anything else is left as it is, and so is localhost on a machine without a network.
    """
    parts = urlsplit(root.rstrip("/"))
    found = farm_addresses()
    if parts.hostname not in LOOPBACK or not found:
        return root.rstrip("/")
    port = f":{parts.port}" if parts.port else ""
    return urlunsplit((parts.scheme, found[0] + port, parts.path, "", ""))
