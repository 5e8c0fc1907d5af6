"""The directory domain the PC is joined to."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable

from pcaudit.core.snapshot import Observation, absent, known, unknown
from pcaudit.probes.decode import ini
from pcaudit.probes.interface import Observations
from pcaudit.probes.linux import reads
from pcaudit.probes.linux.container import container_reason
from pcaudit.probes.linux.host import Host, Tree

READINGS = ("os.domain",)
"""What this module reads."""

_SSSD = "/etc/sssd"
_KEY = "/etc/krb5.keytab"
# sssd.conf(5), id_provider: those that ask a directory.
_DIRECTORIES = {"ad", "ipa", "ldap"}
# nsswitch.conf(5) services that know this computer's own accounts only.
_OWN = {"files", "compat", "db", "systemd", "altfiles", "extrausers", "cache"}


def _sssd_files(tree: Tree) -> list[str]:
    """Contents of SSSD's settings, in its order.

    Raises:
        PermissionError: They are there but the account may not read them.
    """
    names = [f"{_SSSD}/sssd.conf"]
    with contextlib.suppress(FileNotFoundError):
        more = tree.names(f"{_SSSD}/conf.d")
        names += [f"{_SSSD}/conf.d/{name}" for name in more if name.endswith(".conf")]
    contents = []
    for name in names:
        try:
            contents.append(tree.text(name))
        except FileNotFoundError:
            continue
    return contents


def _sssd_domain(contents: Iterable[str]) -> str:
    """The first directory domain that SSSD is told to use; empty where there is none."""
    sections: dict[str, dict[str, str]] = {}
    for content in contents:
        for section, key, value in ini.settings(content):
            sections.setdefault(section, {})[key] = value
    listed = [name.strip() for name in sections.get("sssd", {}).get("domains", "").split(",")]
    defined = [section.removeprefix("domain/") for section in sections if section.startswith("domain/")]
    for name in (*listed, *defined):
        settings = sections.get(f"domain/{name}", {})
        if settings.get("id_provider", "").casefold() in _DIRECTORIES:
            return settings.get("ad_domain") or settings.get("ipa_domain") or name
    return ""


def _samba_realm(tree: Tree) -> str:
    """The realm of smb.conf(5), where it makes the PC a member of a domain."""
    settings = {
        key.casefold(): value
        for section, key, value in ini.settings(reads.text(tree, "/etc/samba/smb.conf"))
        if section.casefold() == "global"
    }
    if settings.get("security", "").casefold() in {"ads", "domain"}:
        return settings.get("realm", "").casefold() or settings.get("workgroup", "")
    return ""


def _directory_services(tree: Tree) -> list[str]:
    """Services besides this computer's own files that nsswitch.conf asks for accounts."""
    for key, value in reads.lines(reads.text(tree, "/etc/nsswitch.conf")):
        if key == "passwd":
            words = value.partition("#")[0].split()
            return [word for word in words if word not in _OWN and not word.startswith("[")]
    return []


def _configured(tree: Tree) -> Observation | None:
    if domain := _sssd_domain(_sssd_files(tree)):
        return known(domain, "SSSD configuration")
    if realm := _samba_realm(tree):
        if tree.exists(_KEY):
            return known(realm, f"/etc/samba/smb.conf, {_KEY}")
        return unknown(
            f"Samba is set up for {realm}, but no {_KEY} shows that the PC has joined: run 'net ads testjoin'"
        )
    return None


def _domain(tree: Tree) -> Observation:
    try:
        configured = _configured(tree)
    except OSError as error:
        return unknown(reads.refusal("a settings file of SSSD or Samba", error))
    if configured:
        return configured
    # Distributions ask SSSD by default, whether or not it has any settings.
    services = [word for word in _directory_services(tree) if word not in {"sss", "winbind", "wins"}]
    if services:
        return unknown(f"accounts also come from {', '.join(services)} (nsswitch.conf): ask who runs it")
    if tree.exists(_KEY):
        return unknown(f"a machine key is there ({_KEY}) but no settings of SSSD or Samba: ask who set it up")
    return absent("joined to no domain", "no SSSD, Samba or other directory settings")


def probe(host: Host) -> Observations:
    """The domain; unknown inside a container."""
    if reason := container_reason(host):
        return reads.all_unknown(READINGS, reason)
    return {"os.domain": _domain(host.tree)}
