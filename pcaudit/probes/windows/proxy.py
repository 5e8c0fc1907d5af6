"""The proxy for web traffic: of this account, and of the PC (WinHTTP)."""

from __future__ import annotations

from typing import Final

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.windows import reads
from pcaudit.probes.windows.host import Host

_SETTINGS: Final = r"SOFTWARE\Microsoft\Windows\CurrentVersion\Internet Settings"
_POLICY: Final = r"HKLM\SOFTWARE\Policies\Microsoft\Windows\CurrentVersion\Internet Settings"
_NAMED: Final = 3  # WINHTTP_ACCESS_TYPE_NAMED_PROXY, winhttp.h


def _without_secret(text: str) -> str:
    """A proxy's text, or a list of them, without names and passwords before an ``@``."""
    parts = []
    for part in text.split(";"):
        before, at, host = part.rpartition("@")
        start = max(before.rfind("//") + 2 if "//" in before else 0, before.find("=") + 1)
        parts.append(before[:start] + host if at else part)
    return ";".join(parts)


def _of_account(host: Host) -> Observation | None:
    """The account's proxy, None where it has none; where policy says so, the one for all accounts."""
    per_user = reads.number(host.registry, _POLICY, "ProxySettingsPerUser") != 0
    path = f"{'HKCU' if per_user else 'HKLM'}\\{_SETTINGS}"
    script = reads.read(host.registry, path, "AutoConfigURL", str)
    enabled = reads.read(host.registry, path, "ProxyEnable", int)
    for given in (script, enabled):
        if given.value is None and not given.absent:
            return unknown(f"the proxy of this account cannot be read: {given.why}")
    if script.value:
        return known(_without_secret(script.value), rf"registry {path}\AutoConfigURL: a script chooses")
    if not enabled.value:
        return None
    server = reads.text(host.registry, path, "ProxyServer")
    if not server:
        return unknown("a proxy is switched on but not named: look in the proxy settings")
    return known(_without_secret(server), rf"registry {path}\ProxyServer")


def proxy(host: Host) -> Observation:
    """Reading network.proxy."""
    if own := _of_account(host):
        return own
    try:
        access, text = host.network.machine_proxy()
    except OSError as error:
        return unknown(f"the PC's own proxy cannot be read ({error}): run netsh winhttp show proxy")
    if access == _NAMED and text:
        return known(_without_secret(text), "WinHttpGetDefaultProxyConfiguration")
    return absent("no proxy is set for this account or this PC; whether the network offers one is not asked")
