"""Gathering with Ansible: the shipped role run by ansible-core over OpenSSH, to happy and unhappy PCs."""

from __future__ import annotations

import json
import os
import re
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final, NamedTuple

import pytest

from tests.cli.program import SMALL, TOP, pcaudit
from tests.packaging import hosts, tools

GATHERING: Final = TOP / "docs" / "gathering"
ROLE: Final = GATHERING / "roles" / "pcaudit_gather"
PAGE: Final = (TOP / "docs" / "gathering.md").read_text(encoding="utf-8")
SECONDS: Final = 5
"""What a PC may take for its snapshot."""

_AT_PROBE: Final = '#!/bin/sh\ncase "$3" in */pcaudit.pyz) {} ;; esac\nexec /mnt/real-$(basename "$0") "$@"\n'
"""A stand-in for Python that does something of its own where pcaudit is to probe."""

NOTES: Final = _AT_PROBE.format("id -u >/mnt/who")
HANGS: Final = _AT_PROBE.format("sleep 300; exit 0")
BABBLES: Final = _AT_PROBE.format("for last; do :; done; echo '{}' >\"$last\"; exit 0")
BREAKS: Final = _AT_PROBE.format("echo 'a fault of its own' >&2; exit 1")
LEAVES: Final = _AT_PROBE.format("ip link set $(basename /sys/class/net/far*) down; exec sleep 300")

PCS: Final = (
    hosts.Pc("as-root", NOTES),
    hosts.Pc("as-user", NOTES),
    hosts.Pc("as-admin", NOTES),
    hosts.Pc("switched-off", answers=False),
    hosts.Pc("rekeyed"),
    hosts.Pc("without-python", "#!/bin/sh\nexit 127\n"),
    hosts.Pc("old-python", "#!/bin/sh\necho 3.9\n"),
    hosts.Pc("slow", HANGS),
    hosts.Pc("babbling", BABBLES),
    hosts.Pc("broken", BREAKS),
    hosts.Pc("leaving", LEAVES),
)
GATHERED: Final = ("as-root", "as-user", "as-admin")
REASONS: Final = {
    "switched-off": r"not reached: ssh: connect to host 198\.18\.3\.2 port 22: .+",
    "rekeyed": "its host key is not the one in known_hosts: find out why before you accept the new one",
    "without-python": "has no Python 3: install 3.11 or newer, or name one with pcaudit_python",
    "old-python": "needs Python 3.11 or newer, has 3.9",
    "slow": f"gave no snapshot in {SECONDS} seconds, and was stopped",
    "babbling": "what came back is not a snapshot",
    "broken": "pcaudit ended with exit code 1: a fault of its own",
    "leaving": r"connection lost: .*"
    r"; its folder /tmp/pcaudit\.\w+ may still be there",
}
VARIABLES: Final = {
    "as-user": f"ansible_user={hosts.USER}",
    "as-admin": f"ansible_user={hosts.USER} ansible_become=true",
}


class Run(NamedTuple):
    """What came of a run of the playbook.

    Attributes:
        lab: The PCs.
        code: Exit code.
        table: What the last lines say of each PC, by its name.
        snapshots: The folder they were brought to.
    """

    lab: hosts.Lab
    code: int
    table: dict[str, tuple[str, str]]
    snapshots: Path


def _known_hosts(lab: hosts.Lab, place: Path) -> Path:
    former = {**lab.host_keys, "rekeyed": hosts.new_key(place / "former")}
    lines = [f"{lab.addresses[name]} {key}\n" for name, key in former.items()]
    (place / "known_hosts").write_text("".join(lines), encoding="ascii")
    return place / "known_hosts"


def _inventory(lab: hosts.Lab, place: Path) -> Path:
    lines = [f"{n} ansible_host={address} {VARIABLES.get(n, '')}" for n, address in lab.addresses.items()]
    known = f"-o UserKnownHostsFile={_known_hosts(lab, place)} -o GlobalKnownHostsFile=/dev/null"
    shared = {
        "ansible_user": "root",
        "ansible_ssh_private_key_file": lab.key,
        "ansible_ssh_common_args": f"{known} -o IdentitiesOnly=yes",
    }
    lines = ["[pcs]", *lines, "[pcs:vars]", *(f"{name}={value}" for name, value in shared.items())]
    (place / "inventory").write_text("\n".join(lines), encoding="ascii")
    return place / "inventory"


def _play(lab: hosts.Lab, place: Path, *options: str) -> subprocess.CompletedProcess[str]:
    environ = {name: value for name, value in os.environ.items() if not name.startswith("ANSIBLE_")}
    # Shorter waits than the shipped ones, and no colour, which would be counted as text.
    waits = "-o ConnectTimeout=2 -o ServerAliveInterval=1 -o ServerAliveCountMax=2"
    environ |= {
        "ANSIBLE_SSH_ARGS": f"-o ControlMaster=auto -o ControlPersist=5s {waits}",
        "ANSIBLE_NOCOLOR": "1",
        "HOME": str(place),
        "LC_ALL": "C.UTF-8",
    }
    command = ["ip", "netns", "exec", lab.controller, str(tools.BIN / "ansible-playbook"), "gather.yml"]
    return subprocess.run(
        [*command, "-i", str(_inventory(lab, place)), *options],
        cwd=GATHERING,
        env=environ,
        capture_output=True,
        text=True,
        timeout=180,
    )


def _table(text: str) -> dict[str, tuple[str, str]]:
    (shown,) = re.findall(r'"msg": (\[.*?\n    \])', text, re.S)
    return _rows(json.loads(shown))


def _rows(lines: list[str]) -> dict[str, tuple[str, str]]:
    rows = [re.split(" {2,}", line, maxsplit=2) for line in lines]
    return {name: (state, detail) for name, state, detail in rows}


@pytest.fixture(scope="module")
def gathered(single_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Run]:
    """One run over all PCs, with snapshots of an earlier run lying where the new ones go."""
    if why := hosts.missing() or tools.missing():
        pytest.skip(why)
    place = tmp_path_factory.mktemp("gathering")
    snapshots = place / "snapshots"
    snapshots.mkdir()
    for name in ("as-root", "slow", "switched-off", "another"):
        (snapshots / f"{name}.json").write_text("of an earlier run", encoding="ascii")
    (place / "pcs").mkdir()
    with hosts.running(PCS, place / "pcs") as lab:
        given = {"pcaudit_file": single_file, "pcaudit_snapshots": snapshots, "pcaudit_seconds": SECONDS}
        options = [word for name, value in given.items() for word in ("-e", f"{name}={value}")]
        done = _play(lab, place, *options)
        assert "PLAY RECAP" in done.stdout, done.stdout + done.stderr
        yield Run(lab, done.returncode, _table(done.stdout), snapshots)


def test_the_table_names_every_pc_in_the_order_of_the_inventory(gathered: Run) -> None:
    """Each PC has its line, with its file or why there is none."""
    assert list(gathered.table) == [pc.name for pc in PCS]
    assert {n: one for n, one in gathered.table.items() if one[0] == "gathered"} == {
        name: ("gathered", f"{name}.json") for name in GATHERED
    }


@pytest.mark.parametrize("name", REASONS)
def test_a_pc_without_a_snapshot_has_a_reason(gathered: Run, name: str) -> None:
    """Whoever reads the table knows what to do about each PC that gave nothing."""
    state, reason = gathered.table[name]
    assert state == "not gathered"
    assert re.fullmatch(REASONS[name], reason), reason


def test_missing_snapshots_fail_the_run(gathered: Run) -> None:
    """The exit code is Ansible's own for hosts that failed."""
    # ansible-playbook: 2 for failed hosts, 4 for unreachable ones, which the role counts as failed.
    assert gathered.code == 2


@pytest.mark.parametrize("name", GATHERED)
def test_a_snapshot_is_of_its_pc(gathered: Run, name: str) -> None:
    """Each file holds what was read on the PC it is named for, and can be assessed."""
    path = gathered.snapshots / f"{name}.json"
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    assert document["kind"] == "snapshot"
    assert document["readings"]["computer.host_name"]["value"] == name
    assert pcaudit("assess", SMALL, str(path)).code in (0, 3, 4)


def test_nothing_but_snapshots_of_this_run_can_be_taken_for_one(gathered: Run) -> None:
    """What an earlier run brought is kept under another name, also where the PC gave nothing now."""
    found = {path.name: path.read_bytes() for path in gathered.snapshots.iterdir()}
    earlier = {f"{name}.json.earlier" for name in ("as-root", "slow", "switched-off")}
    assert set(found) == {f"{name}.json" for name in (*GATHERED, "another")} | earlier
    assert {found[name] for name in earlier} == {b"of an earlier run"}


def test_it_probes_as_the_account_it_was_given(gathered: Run) -> None:
    """As an ordinary user unless asked; with ansible_become as root."""
    assert gathered.lab.said("as-user") == "64999"
    assert gathered.lab.said("as-admin") == "0"
    assert gathered.lab.said("as-root") == "0"


@pytest.mark.parametrize("name", [pc.name for pc in PCS if pc.answers and pc.name != "leaving"])
def test_nothing_is_left_on_a_pc(gathered: Run, name: str) -> None:
    """No file and no process of the run is there afterwards, also where it was stopped or broke."""
    until = time.monotonic() + 10  # connections are kept open for a while, and a stopped probe is ended
    while gathered.lab.processes(name) and time.monotonic() < until:
        time.sleep(0.1)
    assert gathered.lab.processes(name) == []
    assert gathered.lab.left_behind(name) == []


def test_what_is_left_on_a_pc_that_went_away_is_named(gathered: Run) -> None:
    """The folder that the table names is the one that is left there."""
    folder = gathered.table["leaving"][1].split()[-5]
    left = gathered.lab.left_behind("leaving")
    assert folder in left
    assert [path for path in left if not path.startswith(folder)] == []


# -- the page


def test_the_page_shows_the_table_of_these_pcs() -> None:
    """What docs/gathering.md prints is what the run over these PCs says."""
    (printed,) = re.findall(r'```\n("as-root.*?)\n```', PAGE, re.S)
    shown = _rows(json.loads(f"[{printed}]"))
    assert list(shown) == [pc.name for pc in PCS]
    assert [shown[name] for name in GATHERED] == [("gathered", f"{name}.json") for name in GATHERED]
    for name, reason in REASONS.items():
        assert shown[name][0] == "not gathered"
        assert re.fullmatch(reason, shown[name][1]), name


def test_the_page_the_defaults_and_the_role_name_the_same_variables() -> None:
    """Each variable of the role is described for people and for Ansible, and has a default; no other is."""
    section = PAGE.partition("## What may be set")[2].partition("\n## ")[0]
    told = re.findall(r"^\| `(\w+)`", section, re.M)
    specified = re.findall(r"^ {6}(\w+):$", (ROLE / "meta" / "argument_specs.yml").read_text("utf-8"), re.M)
    defaults = re.findall(r"^(\w+):", (ROLE / "defaults" / "main.yml").read_text("utf-8"), re.M)
    assert len(told) == 6
    assert sorted(told) == sorted(specified) == sorted(defaults)
