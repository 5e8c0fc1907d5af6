"""The directory domain the Mac is joined to."""

from __future__ import annotations

import re

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

READINGS = ("os.domain",)
"""What this module reads."""

# dscl(1): the nodes in which accounts are looked for, one on each line (recorded outputs).
_SEARCH = ("/usr/bin/dscl", "/Search", "-read", "/", "CSPSearchPath")
_OWN = {"/Local/Default", "/BSD/local"}
_DIRECTORY = "/Active Directory/"
# dsconfigad(8), recorded output.
_SHOW = ("/usr/sbin/dsconfigad", "-show")
_DOMAIN = re.compile(r"^Active Directory Domain\s*=\s*(\S+)\s*$", re.MULTILINE)


def _nodes(printed: str) -> list[str]:
    key, colon, rest = printed.partition("CSPSearchPath:")
    if key.strip() or not colon:
        return []
    return [line.strip() for line in rest.splitlines() if line.strip()]


def _of_directory(host: Host, node: str) -> Observation:
    printed = ask.text(host, _SHOW)
    match = _DOMAIN.search(printed.value or "")
    if match:
        return known(match[1], "dsconfigad -show")
    return unknown(f"accounts come from {node}, but dsconfigad names no domain: ask IT")


def _domain(host: Host) -> Observation:
    printed = ask.text(host, _SEARCH)
    nodes = _nodes(printed.value or "")
    if not nodes:
        return unknown(printed.why or "dscl names no search path: look in System Settings > Users & Groups")
    others = [node for node in nodes if node not in _OWN]
    if not others:
        return absent("joined to no domain", "dscl CSPSearchPath: this Mac's own accounts only")
    for node in others:
        if node.startswith(_DIRECTORY):
            return _of_directory(host, node)
    return unknown(f"accounts also come from {', '.join(others)[:120]}: ask who runs it")


def probe(host: Host) -> Observations:
    """The domain."""
    return {"os.domain": _domain(host)}
