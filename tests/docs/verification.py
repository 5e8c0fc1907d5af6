"""Writes docs/verification.md from the tests: ``python -m tests.docs.verification``.

A test fails while the page and what it is made from differ.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final

from pcaudit.core.catalogue import CATALOGUE, Reading
from tests.probes import recorded
from tests.virtual_pcs.pcs import CASES, Unknown

TOP: Final = Path(__file__).parent.parent.parent
PAGE: Final = TOP / "docs" / "verification.md"
_LAB: Final = TOP / "tests" / "windows" / "lab" / "pcs"

_HEAD: Final = """# How each reading was verified

Written from the tests by `python -m tests.docs.verification`; a test fails while it is out of date.

**No reading has been seen on real Windows or on a real Mac.** The Windows probe has run on a real
Windows Python under Wine, which stands in for Windows and has none of its hardware, power plans or
policies; beyond that it is held against structures in the documented layout. The macOS probe is held
against recorded output in published forms, and nothing else. On Linux the probe has run on a real
kernel, in virtual PCs and against the utilities named below, but not on laboratory PCs.

| word | meaning |
| --- | --- |
| virtual PC | read inside a virtual PC whose hardware was chosen, and equal to it (`tests/virtual_pcs`) |
| utility | equal to what the utility named says on the same machine at the same time |
| Wine | read by the real program on a real Windows Python under Wine (`tests/windows/lab`) |
| recorded host | read from a recorded host of invented hardware, as written beforehand (`fixtures/hosts`) |
| structures | read from answers of Windows's functions, made by their documented layout (`tests/windows`) |
| recorded output | read from output in published forms, with invented values (`tests/macos`) |
| reasons only | no test gives a value: this version always says why it is unknown, absent or not asked |
| not read | this version does not read it there |

Where a list is verified, the keys that matter were compared, not each key by each way.
"""

UTILITIES: Final[Mapping[str, tuple[tuple[str, str], ...]]] = {
    "session.user": (("id", "probes/test_linux_session.py::test_user_and_rights_are_those_id_shows"),),
    "session.elevated": (("id", "probes/test_linux_session.py::test_user_and_rights_are_those_id_shows"),),
    "computer.host_name": (
        ("hostname", "probes/test_linux_computer.py::test_on_this_machine_the_name_is_what_hostname_shows"),
    ),
    "os.machine": (
        ("uname", "probes/test_linux_os.py::test_on_this_machine_the_architecture_is_what_uname_shows"),
    ),
    "os.product": (
        ("distro", "probes/test_linux_os.py::test_on_this_machine_the_product_is_what_the_system_says"),
    ),
    "os.version": (
        ("distro", "probes/test_linux_os.py::test_on_this_machine_the_product_is_what_the_system_says"),
    ),
    "os.decimal_separator": (
        (
            "localeconv",
            "probes/test_linux_os.py::test_on_this_machine_separators_are_those_the_c_library_formats_with",
        ),
    ),
    **dict.fromkeys(
        ("cpu.model", "cpu.vendor"),
        (("lscpu", "probes/test_linux_cpu.py::test_on_this_machine_the_counts_are_what_lscpu_shows"),),
    ),
    **dict.fromkeys(
        ("cpu.sockets", "cpu.cores", "cpu.threads"),
        (
            ("lscpu", "virtual_pcs/test_utilities.py::test_processor_agrees_with_lscpu"),
            ("lstopo", "virtual_pcs/test_utilities.py::test_topology_agrees_with_lstopo"),
        ),
    ),
    "cpu.features": (
        (
            "py-cpuinfo",
            "probes/test_linux_cpu.py::test_on_this_machine_features_agree_with_an_independent_reader",
        ),
    ),
    "memory.usable": (
        ("free", "probes/test_linux_memory.py::test_on_this_machine_usable_memory_is_what_free_shows"),
    ),
    **dict.fromkeys(
        ("memory.modules", "memory.slots", "memory.slots_free"),
        (("dmidecode", "virtual_pcs/test_utilities.py::test_modules_agree_with_dmidecode"),),
    ),
    "memory.ecc": (("dmidecode", "probes/test_smbios.py::test_memory_is_read_as_dmidecode_reads_it"),),
    "storage.system_size": (("df", "probes/test_linux_storage.py::test_system_volume_as_df_says"),),
    "storage.system_free": (("df", "probes/test_linux_storage.py::test_system_volume_as_df_says"),),
    "storage.volumes": (("findmnt", "probes/test_linux_storage.py::test_mounts_as_findmnt_says"),),
    "storage.drives": (("lsblk", "virtual_pcs/test_utilities.py::test_drives_agree_with_lsblk"),),
    "display.screens": (("edid-decode", "probes/test_edid.py::test_as_edid_decode_reads_it"),),
    "network.adapters": (
        ("ip", "probes/test_linux_network.py::test_adapters_as_ip_says"),
        ("ethtool", "virtual_pcs/test_utilities.py::test_adapters_agree_with_ip_and_ethtool"),
    ),
    "software.packages": (("dpkg-query", "probes/test_linux_software.py::test_packages_as_dpkg_query_says"),),
}
"""Utilities whose answer a reading was compared with on Linux, and the tests that do so."""


def in_virtual_pcs() -> set[str]:
    """Readings that a virtual PC's hardware decides."""
    return {
        name for case in CASES for name, wanted in case.readings.items() if not isinstance(wanted, Unknown)
    }


def on_recorded_hosts() -> set[str]:
    """Readings that some recorded Linux host gives, be it as a bound or as known not to exist."""
    return {
        name
        for host in recorded.NAMES
        for name, wanted in recorded.document(host)["expected"].items()
        if wanted.keys() & {"value", "at_least"} or wanted.get("absent")
    }


def under_wine() -> set[str]:
    """Readings that an invented Windows PC under Wine gives, or is judged by."""
    found: set[str] = set()
    for path in sorted(_LAB.glob("*.toml")):
        expected: dict[str, Any] = tomllib.loads(path.read_text(encoding="utf-8")).get("expected", {})
        judged = {name for name, word in expected.get("verdicts", {}).items() if word != "unverified"}
        found |= {name.partition("[")[0] for name in (*judged, *expected.get("values", {}))}
    return found & set(CATALOGUE)


def _is_read(text: str) -> bool:
    return bool(text) and not text.startswith("not readable")


def _linux(record: Reading) -> list[str]:
    ways = ["virtual PC"] if record.name in in_virtual_pcs() else []
    ways += [f"utility: {tool}" for tool, _ in UTILITIES.get(record.name, ())]
    return ways + (["recorded host"] if record.name in on_recorded_hosts() else [])


def _windows(record: Reading) -> list[str]:
    return (["Wine"] if record.name in under_wine() else []) + ["structures"]


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _row(record: Reading, source: str, ways: Iterable[str]) -> str:
    if not _is_read(source):
        said = "not read"
    elif record.name == "network.endpoints":
        said = "reasons only"
    else:
        said = ", ".join(ways) or "reasons only"
    return f"| `{record.name}` | {_cell(source)} | {said} |"


def _rows(system: str, observed: Iterable[Reading]) -> list[str]:
    if system == "Linux":
        return [_row(record, record.linux, _linux(record)) for record in observed]
    if system == "Windows":
        return [_row(record, record.windows, _windows(record)) for record in observed]
    return [_row(record, record.macos, ["recorded output"]) for record in observed]


def page() -> str:
    """The whole page."""
    observed = [record for record in CATALOGUE.values() if not record.derived]
    lines = [_HEAD]
    for system in ("Linux", "Windows", "macOS"):
        lines += [f"## {system}", "", "| reading | source | verified by |", "| --- | --- | --- |"]
        lines += _rows(system, observed)
        lines.append("")
    derived = ", ".join(f"`{record.name}`" for record in CATALOGUE.values() if record.derived)
    lines += [
        "## Derived",
        "",
        f"Derived readings follow from the observed ones and are the same on every system: {derived}. Their",
        "rules are tested in `tests/core/test_derive.py`, `tests/core/test_cpu_names.py` and",
        "`tests/core/test_os_knowledge.py`.",
        "",
    ]
    return "\n".join(lines)


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
