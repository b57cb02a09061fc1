"""Where this computer can be reached on the farm's Wi-Fi. Sends nothing and works offline."""

from __future__ import annotations

import fcntl
import ipaddress
import socket
import struct
from collections.abc import Iterable

SIOCGIFADDR = 0x8915  # Linux, <linux/sockios.h>: the IPv4 address of a network interface
# Reserved for examples (RFC 5737): no one's address, so it always takes the way out.
FAR_AWAY = ("192.0.2.1", 9)
# Networks inside this computer, made by containers and virtual machines: no phone is on them.
INSIDE = ("docker", "br-", "veth", "virbr", "vmnet", "vboxnet", "lxc", "podman", "cni")


def farm_addresses() -> list[str]:
    """IPv4 addresses a phone on the same network can use, the likeliest first; perhaps none."""
    found = [_address_of(name) for _, name in socket.if_nameindex() if not name.startswith(INSIDE)]
    return reachable([_address_towards_the_way_out(), *found])


def reachable(addresses: Iterable[str | None]) -> list[str]:
    """Each address once, without this computer's own loop and those of no network.

    >>> reachable([None, "192.168.1.20", "127.0.0.1", "169.254.7.7", "192.168.1.20", "10.42.0.1"])
    ['192.168.1.20', '10.42.0.1']
    """
    kept = [ipaddress.IPv4Address(address) for address in addresses if address]
    others = [address for address in kept if not _is_useless(address)]
    return [str(address) for address in dict.fromkeys(others)]


def _is_useless(address: ipaddress.IPv4Address) -> bool:
    return address.is_loopback or address.is_link_local or address.is_unspecified


def _address_towards_the_way_out() -> str | None:
    # Connecting a datagram socket only chooses a route and an address; nothing is sent.
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(FAR_AWAY)
        except OSError:  # no way out, as on a hotspot of our own
            return None
        return str(probe.getsockname()[0])


def _address_of(interface: str) -> str | None:
    request = struct.pack("256s", interface.encode()[:15])
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            answer = fcntl.ioctl(probe.fileno(), SIOCGIFADDR, request)
        except OSError:  # no IPv4 address, or not Linux
            return None
    return socket.inet_ntoa(answer[20:24])
