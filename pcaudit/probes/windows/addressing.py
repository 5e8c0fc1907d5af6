"""Whether an adapter's IPv4 address is set by hand or comes from a DHCP server."""

from __future__ import annotations

from typing import Final

from pcaudit.probes.windows import reads
from pcaudit.probes.windows.calls.network import Adapter
from pcaudit.probes.windows.host import Host

_INTERFACES: Final = r"HKLM\SYSTEM\CurrentControlSet\Services\Tcpip\Parameters\Interfaces"
_MANUAL, _DHCP = 1, 3  # NL_PREFIX_ORIGIN, nldef.h


def _set_by_hand(host: Host, path: str) -> bool:
    given = reads.read(host.registry, path, "IPAddress", list).value or []
    return any(isinstance(text, str) and text not in ("", "0.0.0.0") for text in given)  # noqa: S104


def addressing(host: Host, adapter: Adapter | None) -> str | None:
    """How the IPv4 address of an adapter comes about.

    Args:
        host: The host.
        adapter: What IP knows of it; None where no IP is bound to it.

    Returns:
        ``dynamic`` or ``static`` only where the running system and the registry agree and no
        address in use says otherwise; an adapter without any address set by hand is not static.
    """
    if adapter is None:
        return None
    path = rf"{_INTERFACES}\{adapter.guid}"
    written = reads.number(host.registry, path, "EnableDHCP")
    if written not in (0, 1) or bool(written) != adapter.dhcp:
        return None
    origins = {each.prefix_origin for each in adapter.addresses if len(each.packed) == 4}
    if adapter.dhcp:
        return None if _MANUAL in origins else "dynamic"
    if _DHCP in origins or not (_set_by_hand(host, path) or _MANUAL in origins):
        return None
    return "static"
