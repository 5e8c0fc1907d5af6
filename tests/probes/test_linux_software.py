"""Programs, runtimes, antivirus and services of Linux hosts."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from typing import Any

import pytest
from hypothesis import given, strategies as st

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import dpkg
from pcaudit.probes.linux import software
from pcaudit.probes.linux.host import live
from tests.probes.hosts import DENIED, Entry, Link, host

_PLAIN: dict[str, Entry] = {"/proc/self/ns/pid": Link("pid:[4026531836]")}


def stanza(name: str, version: str = "1.0-1", status: str = "install ok installed") -> str:
    """A package as dpkg notes it."""
    return (
        f"Package: {name}\nStatus: {status}\nMaintainer: Example Team <team@example.org>\n"
        f"Version: {version}\nDescription: about\n Package: not-this\n Status: x\n\n"
    )


def packages(files: Mapping[str, Entry], answer: bytes | OSError = b"") -> dict[str, Observation]:
    """The readings of packages; ``answer`` is what rpm says."""

    def run(command: Sequence[str], seconds: float) -> bytes:
        assert command[0] == "/usr/bin/rpm" and seconds < 5
        if isinstance(answer, OSError):
            raise answer
        return answer

    return dict(software.probe_packages(host({**_PLAIN, **files}), run))


def status(*stanzas: str) -> dict[str, Entry]:
    """A dpkg status file."""
    return {"/var/lib/dpkg/status": "".join(stanzas)}


def names(observed: Observation) -> list[str]:
    """Names of the items."""
    return [item["name"] for item in observed.value]


def test_installed_packages_only() -> None:
    """Removed packages whose settings stayed behind are not installed; held ones are."""
    seen = packages(
        status(
            stanza("alpha", "1:2.3~rc1-4"),
            stanza("beta", status="deinstall ok config-files"),
            stanza("gamma", status="hold ok installed"),
            stanza("delta", status="install ok triggers-pending"),
            stanza("epsilon", status="purge ok not-installed"),
        )
    )["software.packages"]
    assert names(seen) == ["alpha", "gamma", "delta"]
    assert seen.value[0] == {
        "name": "alpha",
        "version": "1:2.3~rc1-4",
        "publisher": "Example Team <team@example.org>",
    }
    assert seen.complete


@pytest.mark.parametrize(
    "state", ["install ok half-installed", "install reinstreq installed", "install ok unpacked"]
)
def test_half_installed_package_leaves_the_list_open(state: str) -> None:
    """A package left half-way is neither installed nor surely gone."""
    seen = packages(status(stanza("alpha"), stanza("beta", status=state)))["software.packages"]
    assert names(seen) == ["alpha"]
    assert not seen.complete and "beta" in seen.why


@pytest.mark.parametrize("path", ["/opt/example/run", "/usr/local/bin/example"])
def test_programs_outside_the_package_manager_leave_the_list_open(path: str) -> None:
    """A program that no package manager put there may be anything."""
    seen = packages({**status(stanza("alpha")), path: ""})
    for name in ("software.packages", "software.runtimes"):
        assert not seen[name].complete and path.rsplit("/run", 1)[0] in seen[name].why


def test_snaps_and_flatpaks_are_listed() -> None:
    """Snaps and Flatpaks for all users are programs too, of unknown version."""
    seen = packages(
        {
            **status(stanza("alpha")),
            "/var/lib/snapd/snaps/beta-suite_12.snap": "",
            "/var/lib/snapd/snaps/beta-suite_11.snap": "",
            "/var/lib/flatpak/app/org.example.Gamma/current": "",
        }
    )["software.packages"]
    assert names(seen) == ["alpha", "beta-suite", "org.example.Gamma"]
    assert seen.value[1]["version"] is None and seen.complete


def test_no_package_manager_is_unknown() -> None:
    """Where no database is found, nothing is known of programs, not even that there are none."""
    seen = packages({})
    assert all(given.form is Form.UNKNOWN and given.why for given in seen.values())


def test_denied_database_is_not_an_empty_one() -> None:
    """A package list that may not be read leaves its readings unknown, with that reason."""
    seen = packages({"/var/lib/dpkg/status": DENIED})["software.packages"]
    assert seen.form is Form.UNKNOWN and "administrator rights" in seen.why


_RPM: dict[str, Entry] = {"/var/lib/rpm/rpmdb.sqlite": "", "/usr/bin/rpm": ""}


def test_rpm_packages() -> None:
    """The rpm database gives name, version with release, and vendor; its keys are no programs."""
    said = b"alpha\t1.2-3.el9\tExample Works\nbeta\t1:0-1\t\ngpg-pubkey\tabc-1\t\n"
    seen = packages(_RPM, said)["software.packages"]
    assert seen.value == [
        {"name": "alpha", "version": "1.2-3.el9", "publisher": "Example Works"},
        {"name": "beta", "version": "1:0-1", "publisher": None},
    ]


def test_rpm_that_fails_is_unknown() -> None:
    """A database that could not be asked makes programs unknown, and a dpkg list beside it open."""
    failed = OSError("rpm: timed out")
    assert packages(_RPM, failed)["software.packages"].form is Form.UNKNOWN
    beside = packages({**_RPM, **status(stanza("alpha"))}, failed)["software.packages"]
    assert names(beside) == ["alpha"] and not beside.complete


@pytest.mark.parametrize(
    ("package", "version", "runtime"),
    [
        ("openjdk-17-jre-headless", "17.0.15+6-1~deb12u1", {"name": "Java", "version": "17.0.15"}),
        ("java-21-openjdk-headless", "1:21.0.3.0.9-1.el9", {"name": "Java", "version": "21.0.3.0.9"}),
        ("python3.11", "3.11.2-6", {"name": "Python", "version": "3.11.2"}),
        ("python3.13", "3.13.0~rc1-1", {"name": "Python", "version": "3.13.0~rc1-1"}),
        ("dotnet-runtime-8.0", "8.0.4-1", {"name": ".NET", "version": "8.0.4"}),
        ("openjdk-8-jre", "8u392-ga-1", {"name": "Java", "version": "8u392-ga-1"}),
    ],
)
def test_runtime_versions(package: str, version: str, runtime: dict[str, str]) -> None:
    """A runtime has its maker's version; where it cannot be told for sure, the package's own."""
    assert packages(status(stanza(package, version)))["software.runtimes"].value == [runtime]


@pytest.mark.parametrize("package", ["default-jre", "python3-numpy", "dotnet-sdk-8.0", "libc6-dev"])
def test_what_is_no_runtime(package: str) -> None:
    """Names that only begin as a runtime's are none."""
    seen = packages(status(stanza(package)))["software.runtimes"]
    assert seen.value == []
    assert not seen.complete and "are not recognised" in seen.why


def test_antivirus_is_never_complete() -> None:
    """Linux has no register of antivirus products: none found does not mean none there."""
    found = packages(status(stanza("clamav-daemon"), stanza("other")))["software.antivirus"]
    assert names(found) == ["ClamAV"] and not found.complete
    assert not packages(status(stanza("other")))["software.antivirus"].complete


def test_container_packages_are_its_own() -> None:
    """Packages in a container are given, but not as all of the PC's."""
    seen = packages({"/run/systemd/container": "example", **status(stanza("alpha"))})["software.packages"]
    assert names(seen) == ["alpha"] and not seen.complete


def services(files: Mapping[str, Entry]) -> Observation:
    """The reading of services."""
    return software.probe_services(host({**_PLAIN, **files}))["software.services"]


def test_services_and_their_states() -> None:
    """A service with processes runs, one with a unit file only is stopped; templates are none."""
    group = "/sys/fs/cgroup/system.slice"
    seen = services(
        {
            "/run/systemd/system/": "",
            "/usr/lib/systemd/system/alpha.service": "",
            "/usr/lib/systemd/system/beta.service": "",
            "/usr/lib/systemd/system/term@.service": "",
            "/usr/lib/systemd/system/beta.socket": "",
            f"{group}/alpha.service/cgroup.events": "populated 1\nfrozen 0\n",
            f"{group}/old.service/cgroup.events": "populated 0\nfrozen 0\n",
            f"{group}/system-term.slice/term@one.service/cgroup.events": "populated 1\nfrozen 0",
            f"{group}/odd.service/memory.max": "max",
        }
    )
    assert {item["name"]: item["state"] for item in seen.value} == {
        "alpha": "running",
        "beta": "stopped",
        "odd": None,
        "old": "stopped",
        "term@one": "running",
    }


def test_services_without_systemd_are_unknown() -> None:
    """Unit files mean nothing where systemd did not start the system."""
    seen = services({"/usr/lib/systemd/system/alpha.service": ""})
    assert seen.form is Form.UNKNOWN and "systemd" in seen.why


def test_every_promised_reading_is_given() -> None:
    """The probes give exactly the readings they promise."""
    for each in software.probes(host(_PLAIN)):
        assert set(each.take()) == set(each.reads)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_status_file(data: bytes) -> None:
    """Broken stanzas are left out; every package that is given has a name."""
    assert all(package.name for package in dpkg.decode(data).installed)


def test_packages_as_dpkg_query_says() -> None:
    """On this host the packages are those dpkg-query shows as installed, with the same versions."""
    if shutil.which("dpkg-query") is None:
        pytest.skip("dpkg-query is not installed")
    wanted = "${Package}\t${Version}\t${db:Status-Status}\n"
    said = subprocess.run(
        ["dpkg-query", "-W", "-f", wanted], capture_output=True, text=True, check=True
    ).stdout
    rows = [line.split("\t") for line in said.splitlines()]
    expected = sorted((name, version) for name, version, state in rows if state == "installed")
    data = live().tree.data("/var/lib/dpkg/status")
    found: list[Any] = dpkg.decode(data).installed
    assert sorted((package.name, package.version) for package in found) == expected


def test_programs_of_single_users_are_told_of() -> None:
    """A program in a user's own folder leaves the list open, for nobody can say what it is."""
    seen = packages({**status(stanza("a", "1")), "/home/ann/.local/bin/old-suite": "x"})["software.packages"]
    assert not seen.complete
    assert "/home/ann/.local/bin/old-suite" in seen.why


def test_a_closed_home_leaves_the_list_open() -> None:
    """A home that cannot be read may hold programs; the administrator's own does not count."""
    closed = packages({**status(stanza("a", "1")), "/home/ann": DENIED})["software.packages"]
    assert not closed.complete
    assert "/home/ann" in closed.why and "administrator rights" in closed.why
    assert packages({**status(stanza("a", "1")), "/root": DENIED})["software.packages"].complete
    assert packages({**status(stanza("a", "1")), "/home/ann/letter.txt": "x"})["software.packages"].complete
