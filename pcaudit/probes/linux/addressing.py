"""Whether an adapter's address was set by hand or came from a DHCP server."""

from __future__ import annotations

from collections.abc import Sequence

from pcaudit.probes.decode import ini
from pcaudit.probes.decode.rtnetlink import Address
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.host import Tree

_STATIC, _DYNAMIC = "static", "dynamic"
_INTERFACES = "/etc/network/interfaces"
_NETWORKD = "/run/systemd/netif"


def addressing(tree: Tree, name: str, index: int | None, addresses: Sequence[Address]) -> str | None:
    """How the IPv4 address of an adapter came about.

    Args:
        tree: The host's files.
        name: Name of the adapter.
        index: Its number.
        addresses: Its addresses.

    Returns:
        ``dynamic`` where the kernel limits the address's lifetime or a lease is found; ``static``
        only where a configuration says so, for a DHCP client may also set an address for good;
        else None.
    """
    own = [address for address in addresses if address.version == 4]
    if not own:
        return None
    if not all(address.permanent for address in own):
        return _DYNAMIC
    if _has_lease(tree, name, index):
        return _DYNAMIC
    return _by_ifupdown(tree, name) or _by_networkd(tree, index)


def _has_lease(tree: Tree, name: str, index: int | None) -> bool:
    if index is not None and tree.exists(f"{_NETWORKD}/leases/{index}"):
        return True
    # Lease files under /var may be years old; a running client's process file is not.
    return tree.exists(f"/run/dhclient.{name}.pid") or tree.exists(f"/run/dhclient-{name}.pid")


def _by_ifupdown(tree: Tree, name: str) -> str | None:
    """What interfaces(5) says of an adapter."""
    files = [_INTERFACES, *(f"{_INTERFACES}.d/{file}" for file in reads.names(tree, f"{_INTERFACES}.d"))]
    methods = set()
    for file in files:
        for line in reads.text(tree, file).splitlines():
            words = line.split()
            if len(words) == 4 and words[:3] == ["iface", name, "inet"]:
                methods.add(words[3])
    if methods == {"static"}:
        return _STATIC
    return _DYNAMIC if methods == {"dhcp"} else None


def _by_networkd(tree: Tree, index: int | None) -> str | None:
    """What systemd-networkd's file for an adapter says, systemd.network(5)."""
    if index is None:
        return None
    given = ini.settings(reads.text(tree, f"{_NETWORKD}/links/{index}"))
    state = {key: value for _, key, value in given}
    file = state.get("NETWORK_FILE", "")
    if not file.startswith("/") or reads.names(tree, f"/etc/systemd/network/{file.rpartition('/')[2]}.d"):
        return None
    asked = [(key, value) for _, key, value in ini.settings(reads.text(tree, file))]
    dhcp = [value.casefold() for key, value in asked if key == "DHCP"]
    if any(value in {"yes", "ipv4", "true", "1", "on"} for value in dhcp):
        return _DYNAMIC
    return _STATIC if any(key == "Address" and "." in value for key, value in asked) else None
