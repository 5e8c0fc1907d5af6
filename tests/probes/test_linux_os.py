"""Tests of the operating system: product, machine, language, clock, updates, domain."""

from __future__ import annotations

import locale as c_locale
import os
import subprocess
from collections.abc import Mapping
from pathlib import Path

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.decode import aptconf, osrelease
from pcaudit.probes.linux import clock, domain, language, os_info, updates
from pcaudit.probes.linux.host import live
from tests.probes.hosts import DENIED, Entry, Link, MemoryTree, host

DEBIAN = 'PRETTY_NAME="Debian GNU/Linux 12 (bookworm)"\nNAME="Debian GNU/Linux"\nVERSION_ID="12"\nID=debian\n'
FIRST: dict[str, Entry] = {"/proc/self/ns/pid": Link("pid:[4026531836]")}
CONTAINER: dict[str, Entry] = {"/proc/self/ns/pid": Link("pid:[4026532201]")}
NOW = 1_800_000_000.0


def identity(name: str, files: Mapping[str, Entry], machine: str = "x86_64") -> Observation:
    """One reading of what the system is."""
    return os_info.probe(host({**FIRST, **files}, machine=machine))[f"os.{name}"]


# -- product


def test_a_release_is_read_as_it_is_written() -> None:
    """Product and version are NAME and VERSION_ID, the version a text and not a number."""
    files = {"/etc/os-release": 'NAME="Example Linux"\nVERSION_ID="8.10"\nVARIANT_ID=workstation\n'}
    found = [identity(name, files).value for name in ("type", "product", "version", "edition_id")]
    assert found == ["linux", "Example Linux", "8.10", "workstation"]


def test_a_release_without_a_version_has_none() -> None:
    """Testing and rolling releases give no VERSION_ID, and no other field stands in for it."""
    found = identity("version", {"/etc/os-release": 'NAME="Debian GNU/Linux"\nVERSION_CODENAME=trixie\n'})
    assert found.form is Form.UNKNOWN
    assert "VERSION_ID" in found.why


def test_only_the_first_release_file_counts() -> None:
    """os-release(5): /etc/os-release takes precedence and the two are never merged."""
    files: dict[str, Entry] = {
        "/etc/os-release": "NAME=Mine",
        "/usr/lib/os-release": "NAME=Other\nVERSION_ID=3",
    }
    assert identity("product", files).value == "Mine"
    assert identity("version", files).form is Form.UNKNOWN


def test_the_vendor_file_counts_where_there_is_no_other() -> None:
    """/usr/lib/os-release is read where /etc has none, also through the usual link."""
    vendor: dict[str, Entry] = {"/usr/lib/os-release": DEBIAN}
    assert identity("version", vendor).value == "12"
    linked = {**vendor, "/etc/os-release": Link("../usr/lib/os-release")}
    assert identity("product", linked).value == "Debian GNU/Linux"


def test_an_older_distribution_is_read_from_its_own_file(tmp_path: Path) -> None:
    """Without os-release a distribution's own release file gives product and version."""
    (tmp_path / "etc").mkdir()
    (tmp_path / "etc" / "example-release").write_text("Example Linux release 6.9 (Final)\n")
    found = os_info.probe(host(tmp_path))
    assert (found["os.product"].value, found["os.version"].value) == ("Example Linux", "6.9")


def test_a_system_that_does_not_name_itself_is_unknown() -> None:
    """No release file at all gives no product, not the word Linux."""
    assert identity("product", {}).form is Form.UNKNOWN


def test_editions_do_not_exist_on_linux() -> None:
    """An edition is known not to exist; a variant only where none is given."""
    assert identity("edition", {}).form is Form.ABSENT
    assert identity("edition_id", {"/etc/os-release": DEBIAN}).form is Form.ABSENT


# os-release(5): the example of quoting; shell rules for double quotes.
@pytest.mark.parametrize(
    ("line", "value"),
    [
        ("NAME=Fedora", "Fedora"),
        ('NAME="A \\"b\\" \\$c \\\\d"', 'A "b" $c \\d'),
        ("NAME='A \"b\" \\$c'", 'A "b" \\$c'),
        ('  NAME="indented"  ', "indented"),
        ('NAME=""', ""),
        ('NAME="half', '"half'),
    ],
)
def test_quotes_are_those_of_the_shell(line: str, value: str) -> None:
    """Quoted values lose their quotes and escapes as in a shell."""
    assert osrelease.decode(f"# NAME=comment\n{line}\nmalformed\n") == {"NAME": value}


@pytest.mark.parametrize(
    ("machine", "personality", "word"),
    [
        ("x86_64", "00000000", "x86_64"),
        ("aarch64", "00000000", "arm64"),
        ("i686", "00000000", "x86"),
        ("i686", "00000008", "x86_64"),
        ("armv8l", "00000008", "arm64"),
        ("armv7l", "00000000", "other"),
        ("riscv64", "00000000", "other"),
    ],
)
def test_the_machine_is_seen_through_a_personality(machine: str, personality: str, word: str) -> None:
    """A 32-bit kernel is x86, a 64-bit one that only shows itself so is not."""
    assert identity("machine", {"/proc/self/personality": personality}, machine).value == word


def test_a_32_bit_name_that_cannot_be_checked_is_unknown() -> None:
    """Without the personality i686 may be either."""
    assert identity("machine", {}, "i686").form is Form.UNKNOWN


# -- language


def spoken(files: Mapping[str, Entry], environ: Mapping[str, str], sign: str | None = ",") -> list[object]:
    """Language, locale and separator, where the C library would answer ``sign``."""
    found = language.probe(host(files, environ=environ), lambda _: sign)
    return [found[name].value for name in language.READINGS]


@pytest.mark.parametrize(
    ("environ", "expected"),
    [
        ({"LANG": "de_DE.UTF-8"}, ["de", "de_DE.UTF-8", ","]),
        ({"LANG": "de_DE.UTF-8", "LC_MESSAGES": "en_GB.UTF-8"}, ["en", "de_DE.UTF-8", ","]),
        ({"LANG": "en_US.UTF-8", "LC_NUMERIC": "de_DE.UTF-8"}, ["en", "de_DE.UTF-8", ","]),
        ({"LANG": "en_US.UTF-8", "LC_ALL": "fr_FR@euro"}, ["fr", "fr_FR@euro", ","]),
        ({"LANG": "en_US.UTF-8", "LANGUAGE": "pl:en"}, ["pl", "en_US.UTF-8", ","]),
        ({"LANG": "C.UTF-8", "LANGUAGE": "pl"}, [None, "C.UTF-8", "."]),
        ({"LC_ALL": "POSIX", "LANG": "de_DE.UTF-8"}, [None, "POSIX", "."]),
        ({"LANG": "", "LC_ALL": ""}, [None, "C", "."]),
        ({}, [None, "C", "."]),
    ],
)
def test_variables_count_in_the_order_of_posix(environ: dict[str, str], expected: list[object]) -> None:
    """LC_ALL goes before the category and the category before LANG; the C locale has a point."""
    assert spoken({}, environ) == expected


@pytest.mark.parametrize("file", ["/etc/locale.conf", "/etc/default/locale"])
def test_the_system_default_counts_where_the_session_sets_nothing(file: str) -> None:
    """The system's own setting stands in, and is named as such beside a session's."""
    files: dict[str, Entry] = {file: '# comment\nLANG="de_AT.UTF-8"\n'}
    assert spoken(files, {}) == ["de", "de_AT.UTF-8", ","]
    beside = language.probe(host(files, environ={"LANG": "C"}))["os.locale"]
    assert beside.value == "C"
    assert "de_AT.UTF-8" in beside.source


def test_a_locale_that_is_not_installed_has_no_separator() -> None:
    """A locale that is set but missing would silently act as C, so its separator is unknown."""
    found = language.probe(host({}, environ={"LANG": "xx_YY.UTF-8"}))["os.decimal_separator"]
    assert found.form is Form.UNKNOWN
    assert "not installed" in found.why


def test_on_this_machine_separators_are_those_the_c_library_formats_with() -> None:
    """For every installed locale the separator equals localeconv's, which sets the locale to ask."""
    told = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=True).stdout.split()
    before = c_locale.setlocale(c_locale.LC_NUMERIC)
    try:
        for name in told:
            c_locale.setlocale(c_locale.LC_NUMERIC, name)
            assert language.radix(name) == c_locale.localeconv()["decimal_point"], name
    finally:
        c_locale.setlocale(c_locale.LC_NUMERIC, before)
    assert told


# -- clock


def ticking(
    files: Mapping[str, Entry],
    state: tuple[int, int] = (0, 10_000),
    modified: Mapping[str, float] | None = None,
    environ: Mapping[str, str] | None = None,
) -> Mapping[str, Observation]:
    """Clock readings at NOW of a kernel with this state and maximum error in microseconds."""
    asked = host(files, adjtimex=lambda: state, modified=modified, environ=environ)
    return clock.probe(asked, lambda: NOW)


STAMP = "/run/systemd/timesync/synchronized"


@pytest.mark.parametrize(
    ("files", "zone"),
    [
        ({"/etc/localtime": Link("/usr/share/zoneinfo/Europe/Berlin")}, "Europe/Berlin"),
        ({"/etc/localtime": Link("../usr/share/zoneinfo/posix/Asia/Tokyo")}, "Asia/Tokyo"),
        ({"/etc/timezone": "Europe/Paris\n"}, "Europe/Paris"),
        ({"/etc/localtime": "TZif1", "/etc/timezone": "A/B", "/usr/share/zoneinfo/A/B": "TZif1"}, "A/B"),
        ({"/etc/localtime": "TZif2", "/etc/timezone": "A/B", "/usr/share/zoneinfo/A/B": "TZif1"}, None),
        ({"/etc/localtime": "TZif1"}, None),
        ({}, "UTC"),
    ],
)
def test_the_time_zone_is_the_systems(files: dict[str, Entry], zone: str | None) -> None:
    """The link names the zone; a name that does not fit the data in force is not believed."""
    assert ticking(files)["os.time_zone"].value == zone


def test_a_sessions_own_zone_is_named_beside_the_systems() -> None:
    """TZ holds for this session only and does not replace the system's zone."""
    files: dict[str, Entry] = {"/etc/localtime": Link("/usr/share/zoneinfo/Europe/Berlin")}
    found = ticking(files, environ={"TZ": ":America/Lima"})["os.time_zone"]
    assert found.value == "Europe/Berlin"
    assert "America/Lima" in found.source


# adjtimex(2): state 5 is TIME_ERROR, not synchronised. kernel/time/ntp.c: the maximum error grows
# by 500 microseconds a second.
@pytest.mark.parametrize(
    ("files", "state", "stamped", "expected"),
    [
        ({}, (5, 16_000_000), None, False),
        ({"/run/systemd/timesync/": ""}, (5, 16_000_000), None, False),
        ({}, (0, 30_000), None, True),
        ({"/run/chrony/chronyd.pid": "800"}, (0, 30_000), None, True),
        ({}, (0, 12_000_000), None, None),
        ({STAMP: ""}, (0, 30_000), NOW - 300, True),
        ({STAMP: ""}, (0, 12_000_000), NOW - 300, True),
        ({STAMP: ""}, (0, 30_000), NOW - 9000, None),
        ({"/run/chrony/chronyd.pid": "8"}, (5, 16_000_000), None, None),
        (
            {"/run/chrony/chronyd.pid": "8", "/etc/chrony/chrony.conf": "pool a iburst\nrtcsync\n"},
            (5, 16_000_000),
            None,
            False,
        ),
    ],
)
def test_a_clock_is_synchronised_only_if_it_was_set_lately(
    files: dict[str, Entry], state: tuple[int, int], stamped: float | None, expected: bool | None
) -> None:
    """The kernel's flag outlives a dead time server, so its age counts, too."""
    found = ticking(files, state, {STAMP: stamped} if stamped else None)
    assert found["os.clock_synchronised"].value is expected


def test_a_kernel_that_refuses_leaves_the_clock_unknown() -> None:
    """A refused adjtimex is neither yes nor no."""

    def refuse() -> tuple[int, int]:
        raise OSError(1, "Operation not permitted")

    found = clock.probe(host({}, adjtimex=refuse))["os.clock_synchronised"]
    assert found.form is Form.UNKNOWN
    assert "not permitted" in found.why


def test_the_last_synchronisation_is_the_stamps_time() -> None:
    """systemd-timesyncd touches its stamp at each synchronisation; without one it is unknown."""
    found = ticking({STAMP: ""}, modified={STAMP: NOW})["os.clock_synchronised_at"]
    assert found.value == "2027-01-15T08:00:00+00:00"
    for files in ({}, {"/run/chrony/chronyd.pid": "8"}, {"/run/systemd/timesync/": ""}):
        assert ticking(files)["os.clock_synchronised_at"].form is Form.UNKNOWN


# -- updates


def restart(name: str, files: Mapping[str, Entry]) -> object:
    """One reading of group os about restarts."""
    return updates.probe(host({**FIRST, **files}))[f"os.{name}"].value


RUNNING: dict[str, Entry] = {"/proc/sys/kernel/osrelease": "6.1.0-9-amd64"}
HOOK = "/etc/kernel/postinst.d/unattended-upgrades"


@pytest.mark.parametrize(
    ("files", "expected"),
    [
        ({"/run/reboot-required": "*** System restart required ***"}, True),
        ({"/system-update": Link("/var/lib/system-update")}, True),
        ({"/run/ostree/staged-deployment": ""}, True),
        ({**RUNNING, "/boot/vmlinuz-6.1.0-10-amd64": "", HOOK: ""}, True),
        ({**RUNNING, "/boot/vmlinuz-6.1.0-10-rt-amd64": "", HOOK: ""}, False),
        ({**RUNNING, "/boot/vmlinuz-6.1.0-9-amd64": "", HOOK: ""}, False),
        ({HOOK: ""}, False),
        ({**RUNNING, "/boot/vmlinuz-6.1.0-9-amd64": ""}, None),
        ({"/usr/bin/dnf": ""}, None),
        ({}, None),
    ],
)
def test_no_restart_is_pending_only_where_it_would_be_marked(
    files: dict[str, Entry], expected: bool | None
) -> None:
    """A missing mark proves something only where something would set it."""
    files = {**files, "/var/lib/system-update": ""}
    assert restart("restart_pending", files) is expected


APT: dict[str, Entry] = {"/etc/apt/apt.conf.d/": "", "/usr/bin/unattended-upgrade": ""}
CONF = "/etc/apt/apt.conf.d/50unattended-upgrades"


@pytest.mark.parametrize(
    ("files", "expected"),
    [
        ({"/etc/apt/": ""}, False),
        (APT, False),
        ({**APT, CONF: 'Unattended-Upgrade::Automatic-Reboot "true";'}, True),
        ({**APT, CONF: 'Unattended-Upgrade { Automatic-Reboot "true"; };'}, True),
        ({**APT, CONF: '//Unattended-Upgrade::Automatic-Reboot "true";'}, False),
        ({**APT, CONF: 'Unattended-Upgrade::Automatic-Reboot "false";'}, False),
        (
            {
                **APT,
                CONF: 'Unattended-Upgrade::Automatic-Reboot "true";',
                "/etc/apt/apt.conf.d/99local": 'unattended-upgrade::automatic-reboot "0";',
            },
            False,
        ),
        ({**APT, f"{CONF}.dpkg-old": 'Unattended-Upgrade::Automatic-Reboot "true";'}, False),
        ({**APT, CONF: DENIED}, None),
        ({"/etc/dnf/automatic.conf": "[commands]\nreboot = when-needed\n"}, True),
        ({"/etc/dnf/automatic.conf": "[commands]\nreboot = never\n"}, False),
        ({"/etc/dnf/dnf.conf": ""}, False),
        ({"/etc/apt/": "", "/usr/sbin/rebootmgrd": ""}, None),
        ({}, None),
    ],
)
def test_updates_restart_the_pc_only_where_they_are_told_to(
    files: dict[str, Entry], expected: bool | None
) -> None:
    """The settings of the update agents decide; where none is understood it is unknown."""
    assert restart("update_restarts", files) is expected


def test_apt_settings_nest_and_lists_have_no_name() -> None:
    """apt.conf(5): scopes nest, names are compared without case, comments are left out."""
    text = 'A { B { C "1"; }; /* D "2"; */ };\n# E "3";\nA::Allowed { "x"; "y"; };\nA::F "u;v"; // G\n'
    assert aptconf.decode(text) == {"a::b::c": "1", "a::f": "u;v"}


def test_in_a_container_updates_and_domain_are_the_pcs_own_matter() -> None:
    """A container's update settings and directory say nothing about the PC."""
    asked = host({**CONTAINER, HOOK: "", "/etc/apt/": ""})
    for found in (*updates.probe(asked).values(), *domain.probe(asked).values()):
        assert found.form is Form.UNKNOWN
        assert "container" in found.why


# -- domain

SSSD = "/etc/sssd/sssd.conf"
AD = "[sssd]\ndomains = lab.example\n\n[domain/lab.example]\nid_provider = ad\nad_domain = ad.lab.example\n"
SMB = "[global]\n  security = ADS\n  realm = LAB.EXAMPLE\n"
KEY = "/etc/krb5.keytab"


@pytest.mark.parametrize(
    ("files", "form", "value"),
    [
        ({SSSD: AD}, Form.KNOWN, "ad.lab.example"),
        ({SSSD: AD.replace("ad_domain", "#")}, Form.KNOWN, "lab.example"),
        ({SSSD: "[sssd]\nservices = nss\n[domain/x.example]\nid_provider = ldap\n"}, Form.KNOWN, "x.example"),
        ({"/etc/sssd/conf.d/10-lab.conf": AD}, Form.KNOWN, "ad.lab.example"),
        ({SSSD: "[sssd]\ndomains = own\n[domain/own]\nid_provider = files\n"}, Form.ABSENT, None),
        ({SSSD: DENIED}, Form.UNKNOWN, None),
        ({"/etc/samba/smb.conf": SMB, KEY: DENIED}, Form.KNOWN, "lab.example"),
        ({"/etc/samba/smb.conf": SMB}, Form.UNKNOWN, None),
        ({"/etc/samba/smb.conf": "[global]\nsecurity = user\nrealm = X\n"}, Form.ABSENT, None),
        ({KEY: DENIED}, Form.UNKNOWN, None),
        ({"/etc/nsswitch.conf": "passwd: files ldap\n"}, Form.UNKNOWN, None),
        ({"/etc/nsswitch.conf": "passwd: files sss systemd [NOTFOUND=return] # ldap\n"}, Form.ABSENT, None),
        ({}, Form.ABSENT, None),
    ],
)
def test_a_domain_is_absent_only_where_nothing_points_to_one(
    files: dict[str, Entry], form: Form, value: str | None
) -> None:
    """A joined PC gives its domain, a denied or doubtful one is unknown, the rest have none."""
    found = domain.probe(host({**FIRST, **files}))["os.domain"]
    assert (found.form, found.value) == (form, value)


# -- this machine


def test_on_this_machine_the_product_is_what_the_system_says() -> None:
    """Product and version equal those an independent reader of os-release finds."""
    distro = pytest.importorskip("distro")
    told = distro.LinuxDistribution(include_lsb=False, include_uname=False, include_oslevel=False)
    found = os_info.probe(live())
    assert found["os.product"].value == (told.os_release_attr("name") or None)
    assert found["os.version"].value == (told.os_release_attr("version_id") or None)


def test_on_this_machine_the_architecture_is_what_uname_shows() -> None:
    """The machine equals uname -m, by our words."""
    told = subprocess.run(["uname", "-m"], capture_output=True, text=True, check=True).stdout.strip()
    words = {"x86_64": "x86_64", "aarch64": "arm64"}
    assert os_info.probe(live())["os.machine"].value == words.get(told, "other")


@pytest.mark.skipif(not os.path.islink("/etc/localtime"), reason="this machine has no /etc/localtime link")
def test_on_this_machine_the_time_zone_is_where_localtime_points() -> None:
    """The zone's own file is the one in force."""
    found = clock.probe(live())["os.time_zone"]
    with open("/etc/localtime", "rb") as here, open(f"/usr/share/zoneinfo/{found.value}", "rb") as there:
        assert here.read() == there.read()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs mkfifo")
def test_a_pipe_is_not_an_empty_file(tmp_path: Path) -> None:
    """A pipe or a folder in a file's place is refused by its name, at once."""
    (tmp_path / "etc").mkdir()
    os.mkfifo(tmp_path / "etc" / "os-release")
    seen = host(tmp_path)
    assert "/etc/os-release is no regular file" in os_info.probe(seen)["os.product"].why
    with pytest.raises(OSError, match="/etc is no regular file"):
        seen.tree.data("/etc")


def test_every_promised_reading_is_given() -> None:
    """Each probe of the group gives exactly its readings, on this machine and on an empty one."""
    for asked in (live(), host({})):
        for probe in os_info.probes(asked):
            found = probe.take()
            assert set(found) == set(probe.reads)
            assert all(each.source or each.why for each in found.values())


def test_the_memory_tree_follows_links_as_the_kernel_does() -> None:
    """The helper other tests stand on resolves links in every part of a path and refuses loops."""
    tree = MemoryTree({"/a/b/c": "x", "/l": Link("a/b"), "/a/up": Link("../l"), "/o": Link("o"), "/e/": ""})
    assert (tree.text("/l/c"), tree.text("/a/up/c"), tree.link("/l"), tree.names("/e")) == (
        "x",
        "x",
        "a/b",
        [],
    )
    with pytest.raises(OSError, match="Too many levels"):
        tree.text("/o")
    assert not tree.exists("/l/d")
