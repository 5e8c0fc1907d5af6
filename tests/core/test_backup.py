"""The outline of a backup plan."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.backup import outline
from pcaudit.core.derive import Readings
from pcaudit.core.report import BackupItem
from tests.core.builders import snapshot_of, unknown, value


def _items(readings: dict[str, Any]) -> list[BackupItem]:
    return list(outline(Readings(snapshot_of(readings))).items)


def test_the_image_is_what_is_taken_on_the_system_volume() -> None:
    """The space taken on the system volume is the size of its image."""
    image = _items({"storage.system_used": value(70)})[0]
    assert image.size == 70
    assert "taken" in image.basis


@pytest.mark.parametrize(
    ("readings", "basis"),
    [({}, "probe again"), ({"storage.system_used": unknown("the volume hangs")}, "the volume hangs")],
)
def test_an_image_that_cannot_be_sized_says_why(readings: dict[str, Any], basis: str) -> None:
    """No size is guessed where the space taken is not known."""
    image = _items(readings)[0]
    assert image.size is None
    assert basis in image.basis


def test_other_fixed_volumes_are_listed_and_no_others() -> None:
    """Removable, network and system volumes and those of unknown kind are no data volumes."""
    volumes = [
        {"mount": "/data", "kind": "fixed", "size": 10, "used": 6},
        {"mount": "/", "kind": "fixed", "system": True, "size": 10, "used": 6},
        {"mount": "/media/stick", "kind": "removable", "size": 10, "used": 6},
        {"mount": "/net", "kind": "network", "size": 10, "used": 6},
        {"mount": "/who", "size": 10, "used": 6},
        {"kind": "fixed", "size": 10},
        {"mount": "/odd", "kind": "fixed", "size": 10, "free": 3},
    ]
    files = [item for item in _items({"storage.volumes": value(volumes)}) if item.what.startswith("Files")]
    assert [(item.what, item.size) for item in files] == [
        ("Files on /data", 6),
        ("Files on a volume without a mount point", None),
        ("Files on /odd", None),
    ]


def test_volumes_that_were_not_read_are_said_so() -> None:
    """An unknown list of volumes is an item of its own, with the reason."""
    (files,) = (item for item in _items({"storage.volumes": unknown("hangs")}) if "Files" in item.what)
    assert files == BackupItem("Files on other volumes", None, "hangs")


def test_what_no_probe_can_measure_is_left_to_the_lab() -> None:
    """Acquired data, methods, results and licences are named without a size."""
    items = _items({})[-4:]
    assert all(item.size is None and "ask the lab" in item.basis for item in items)
    # Krogh, "The DAM Book", 2005: three copies, one of them off-site.
    copies = outline(Readings(snapshot_of({}))).copies
    assert len(copies) == 3
    assert any("off-site" in copy for copy in copies)
