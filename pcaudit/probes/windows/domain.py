"""The directory the PC is joined to: a domain, or a tenant of Microsoft Entra ID."""

from __future__ import annotations

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.interface import Observations
from pcaudit.probes.windows.ask import ask
from pcaudit.probes.windows.host import Host

READINGS = ("os.domain",)
"""What this module reads."""

_UNJOINED, _WORKGROUP, _DOMAIN = 1, 2, 3  # lmjoin.h: NETSETUP_JOIN_STATUS
_DEVICE_JOIN = 1  # lmjoin.h: DSREG_JOIN_TYPE; 2 joins an account at work, not the PC


def _of_domain(host: Host, name: str) -> Observation:
    source = f"NetGetJoinInformation {name}"
    dns = ask(host.system.domain_dns_name).value
    if dns:
        return known(dns, f"DsRoleGetPrimaryDomainInformation; {source}")
    return known(name, source) if name else unknown("NetGetJoinInformation gives the domain no name")


def _without_domain(host: Host, status: str) -> Observation:
    """Whether the PC is joined to a tenant. Windows before 10 1607 cannot be, and has no such call."""
    tenant = ask(host.system.tenant)
    source = f"NetGetJoinInformation: {status}"
    if tenant.value is None:
        if "this Windows has no" in tenant.why:
            return absent("joined to no domain", source)
        return unknown(f"joined to no domain, but whether to a cloud directory is not known: {tenant.why}")
    kind, name = tenant.value
    if kind == _DEVICE_JOIN:
        said = "NetGetAadJoinInformation, a tenant of Microsoft Entra ID"
        return known(name, said) if name else unknown(f"{said} that has no name")
    return absent("joined to no domain", f"{source}; NetGetAadJoinInformation")


def probe(host: Host) -> Observations:
    """The domain or tenant."""
    joined = ask(host.system.joined)
    if joined.value is None:
        return {"os.domain": unknown(joined.why)}
    status, name = joined.value
    if status == _DOMAIN:
        return {"os.domain": _of_domain(host, name)}
    if status == _WORKGROUP:
        return {"os.domain": _without_domain(host, f"workgroup {name}")}
    if status == _UNJOINED:
        return {"os.domain": _without_domain(host, "joined to nothing")}
    return {"os.domain": unknown(f"NetGetJoinInformation does not know ({status})")}
