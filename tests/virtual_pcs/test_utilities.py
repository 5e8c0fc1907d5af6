"""The probe inside virtual PCs beside the OS's own utilities, run in the same PC at the same time.

References: lscpu and lsblk (util-linux), lstopo (hwloc), ip (iproute2), ethtool, dmidecode.
"""

from __future__ import annotations

import json
import re
from typing import Any
from xml.etree import ElementTree

import pytest

from tests.virtual_pcs.conftest import Probed
from tests.virtual_pcs.pcs import CASES, Case

_EVERY = pytest.mark.parametrize("case", CASES, ids=[case.pc.name for case in CASES])
_AS_ROOT = [case for case in CASES if case.as_root]


@pytest.fixture
def here(case: Case, probed: dict[str, Probed]) -> Probed:
    """What was said inside the PC of this test."""
    return probed[case.pc.name]


def _value(here: Probed, name: str) -> Any:
    return here.readings[name]["value"]


@_EVERY
def test_processor_agrees_with_lscpu(case: Case, here: Probed) -> None:
    """Model, sockets, cores and threads are what lscpu says."""
    fields: dict[str, str] = {}

    def walk(rows: list[dict[str, Any]]) -> None:
        for row in rows:
            fields[row["field"].rstrip(":")] = row["data"]
            walk(row.get("children", []))

    walk(json.loads(here.utilities["lscpu"])["lscpu"])
    sockets = int(fields["Socket(s)"])
    assert _value(here, "cpu.model") == fields["Model name"]
    assert _value(here, "cpu.sockets") == sockets
    assert _value(here, "cpu.cores") == int(fields["Core(s) per socket"]) * sockets
    assert _value(here, "cpu.threads") == int(fields["CPU(s)"])


@_EVERY
def test_topology_agrees_with_lstopo(case: Case, here: Probed) -> None:
    """Packages, cores and processing units are what hwloc counts."""
    tree = ElementTree.fromstring(here.utilities["lstopo"])  # noqa: S314 - our own guest's
    kinds = [one.get("type") for one in tree.iter("object")]
    assert _value(here, "cpu.sockets") == kinds.count("Package")
    assert _value(here, "cpu.cores") == kinds.count("Core")
    assert _value(here, "cpu.threads") == kinds.count("PU")


@_EVERY
def test_drives_agree_with_lsblk(case: Case, here: Probed) -> None:
    """Sizes, models and buses of the drives are those lsblk lists, and no other drive is listed."""
    rows = json.loads(here.utilities["lsblk"])["blockdevices"]
    theirs = sorted(
        (row["size"], (row["model"] or "").strip(), row["tran"]) for row in rows if row["type"] == "disk"
    )
    ours = sorted((one["size"], one["model"], one["bus"]) for one in _value(here, "storage.drives"))
    assert ours == theirs


@_EVERY
def test_adapters_agree_with_ip_and_ethtool(case: Case, here: Probed) -> None:
    """Addresses, MTU, link and speed of every adapter are what ip and ethtool say."""
    links = {row["ifname"]: row for row in json.loads(here.utilities["ip"]) if row["ifname"] != "lo"}
    speeds = dict(re.findall(r"^(\S+):\s*Speed: (\d+)Mb/s$", here.utilities["ethtool"], re.MULTILINE))
    ours = {one["name"]: one for one in _value(here, "network.adapters")}
    assert set(ours) == set(links)
    for name, row in links.items():
        assert ours[name]["mac"] in (row["address"], None)
        assert ours[name]["mtu"] == row["mtu"]
        assert ours[name]["link_up"] == (row["operstate"] == "UP")
        # Without a link ethtool still shows the speed the card was last set to.
        theirs = int(speeds[name]) * 10**6 if name in speeds and ours[name]["link_up"] else None
        assert ours[name]["speed"] == theirs


@pytest.mark.parametrize("case", _AS_ROOT, ids=[case.pc.name for case in _AS_ROOT])
def test_modules_agree_with_dmidecode(case: Case, here: Probed) -> None:
    """The modules are those dmidecode lists, empty slots left out; the slots are counted."""
    slots = here.utilities["dmidecode"].split("Memory Device\n")[1:]
    fitted = [slot for slot in slots if "No Module Installed" not in slot]
    theirs = []
    for slot in fitted:
        size = re.search(r"Size: (\d+) GB", slot)
        speed = re.search(r"Configured Memory Speed: (\d+) MT/s", slot)
        kind = re.search(r"Type: (\S+)", slot)
        assert size and speed and kind
        theirs.append({"size": int(size[1]) << 30, "speed": int(speed[1]), "type": kind[1]})
    assert _value(here, "memory.modules") == theirs
    assert _value(here, "memory.slots") == len(slots)
    assert _value(here, "memory.slots_free") == len(slots) - len(fitted)
