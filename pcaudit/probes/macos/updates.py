"""Whether updates may restart the Mac, and why a restart that waits is not seen."""

from __future__ import annotations

from typing import Any

from pcaudit.core.snapshot import Observation, known, unknown
from pcaudit.probes.decode import macos_text
from pcaudit.probes.interface import Observations
from pcaudit.probes.macos import ask
from pcaudit.probes.macos.host import Host

READINGS = ("os.restart_pending", "os.update_restarts")
"""What this module reads."""

_MANAGED = "/Library/Managed Preferences/com.apple.SoftwareUpdate.plist"
_OWN = "/Library/Preferences/com.apple.SoftwareUpdate.plist"
# Apple, device management: SoftwareUpdate settings.
_SYSTEM, _SECURITY = "AutomaticallyInstallMacOSUpdates", "CriticalUpdateInstall"
# profiles(1), recorded outputs: "MDM enrollment: No", "MDM enrollment: Yes (User Approved)".
_ENROLMENT = ("/usr/bin/profiles", "status", "-type", "enrollment")
_LOOK = "look in System Settings > General > Software Update > Automatic updates"
_PENDING = "macOS leaves no mark of it that can be read: look in System Settings > General > Software Update"


def _settings(host: Host) -> ask.Answer[dict[str, Any]]:
    """The settings in force: those of device management before those made here."""
    found: dict[str, Any] = {}
    for name in (_OWN, _MANAGED):
        answer = ask.file_plist(host, name)
        if answer.value is not None:
            found |= answer.value
        elif not answer.why.startswith("there is no "):
            return ask.Answer(None, f"{name}: {answer.why}")
    return ask.Answer(found)


def _switch(settings: dict[str, Any], name: str) -> bool | None:
    value = settings.get(name)
    return bool(value) if isinstance(value, int) and value in (0, 1) else None


def _restarts(host: Host, settings: dict[str, Any]) -> Observation:
    system, security = _switch(settings, _SYSTEM), _switch(settings, _SECURITY)
    if system:
        return known(True, f"com.apple.SoftwareUpdate {_SYSTEM} true")
    if system is None:
        return unknown(f"{_SYSTEM} is not set, and which default holds is not known: {_LOOK}")
    if security is not False:
        return unknown(f"security responses are still installed ({_SECURITY}), and some restart: {_LOOK}")
    enrolment = macos_text.pairs(ask.text(host, _ENROLMENT).value or "").get("MDM enrollment", "")
    if enrolment != "No":
        return unknown("device management may enforce updates with a restart: ask who manages this Mac")
    return known(False, f"com.apple.SoftwareUpdate {_SYSTEM} and {_SECURITY} false, no device management")


def probe(host: Host) -> Observations:
    """Restarts that wait, and restarts that may come."""
    return {
        "os.restart_pending": unknown(_PENDING),
        "os.update_restarts": ask.of(_settings(host), lambda settings: _restarts(host, settings)),
    }
