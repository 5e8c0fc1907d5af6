"""Whether three copies lie on two kinds of media, one of them off-site."""

from __future__ import annotations

import pytest

from pcaudit.core.plan.copies import copies, copy_findings
from pcaudit.core.report import Finding, Verdict
from pcaudit.core.worksheet.backup import NO_COPIES
from tests.core.builders import MARGINAL, MET, UNMET, UNVERIFIED
from tests.core.worksheet.backup_sheets import backup_of


def destination(name: str, kind: str, **keys: str) -> str:
    """A destination with everything that the rule asks of it."""
    given = {"offsite": "false", "offline": "false", "encrypted": "true", **keys}
    lines = [
        f'id = "{name}"',
        f'kind = "{kind}"',
        *(f"{key} = {flag}" for key, flag in given.items() if flag),
    ]
    return "[[backup.destinations]]\n" + "\n".join(lines) + "\n"


def judged(*destinations: str) -> dict[str, Finding]:
    """The findings for these destinations, by name."""
    backup = backup_of("[backup]\n" + "".join(destinations))
    found = copy_findings(backup, copies(backup, None))
    return {one.id.removeprefix("backup."): one for one in found}


def rule(*destinations: str) -> tuple[Verdict, Verdict, Verdict]:
    """Verdicts on three copies, two media, one off-site."""
    found = judged(*destinations)
    return found["copies"].verdict, found["media"].verdict, found["offsite"].verdict


SERVER = destination("server", "file server")
CLOUD = destination("cloud", "cloud", offsite="true")
DISK = destination("disk", "disk")
DISK_AWAY = destination("away", "disk", offsite="true", offline="true")


# The rule as US-CERT, "Data Backup Options" (2012) gives it: three copies (one primary, two backups),
# two kinds of media, one copy off-site.
@pytest.mark.parametrize(
    ("destinations", "expected"),
    [
        ((SERVER, CLOUD), (MET, MET, MET)),
        ((SERVER, DISK_AWAY), (MET, MET, MET)),
        ((DISK, DISK_AWAY), (MET, UNMET, MET)),  # the PC's own drive is a disk too
        ((SERVER, DISK), (MET, MET, UNMET)),
        ((CLOUD,), (UNMET, MET, MET)),
        ((SERVER,), (UNMET, MET, UNMET)),
        ((DISK,), (UNMET, UNMET, UNMET)),
    ],
)
def test_three_copies_two_media_one_off_site(
    destinations: tuple[str, ...], expected: tuple[Verdict, Verdict, Verdict]
) -> None:
    """Copies count with the original, kinds of media with the PC's own drive."""
    assert rule(*destinations) == expected


@pytest.mark.parametrize("kind", NO_COPIES)
def test_what_fails_with_the_data_never_counts(kind: str) -> None:
    """RAID, synchronised folders, snapshots and the PC itself add neither copy, medium nor site."""
    extra = destination("extra", kind, offsite="true", offline="true")
    assert rule(SERVER, extra) == rule(SERVER)
    assert judged(SERVER, extra)["offline"].verdict is judged(SERVER)["offline"].verdict
    backup = backup_of("[backup]\n" + extra)
    (copy,) = copies(backup, None)
    assert (copy.counts, copy.why) == (False, NO_COPIES[kind])


def test_an_unknown_kind_leaves_open_what_it_would_decide() -> None:
    """With a destination whose kind is blank neither two nor three copies are certain."""
    open_ = destination("x", "", offsite="true", offline="true")
    found = judged(SERVER, open_)
    assert found["copies"].verdict is UNVERIFIED
    assert found["copies"].found == "2, 3 at most"
    assert "`kind` of x is blank in the worksheet" in found["copies"].why
    assert found["offsite"].verdict is UNVERIFIED
    assert judged(SERVER, CLOUD, open_)["copies"].verdict is MET
    assert judged(DISK, open_)["media"].verdict is UNVERIFIED
    assert judged(open_)["copies"].verdict is UNMET


def test_an_unknown_site_is_neither_here_nor_there() -> None:
    """Where off-site is blank and nothing else is off-site, the key is named."""
    found = judged(SERVER, destination("cloud", "cloud", offsite=""))
    assert found["offsite"].verdict is UNVERIFIED
    assert found["offsite"].why == "`offsite` of cloud is blank in the worksheet"


@pytest.mark.parametrize(("offline", "verdict"), [("true", MET), ("false", MARGINAL), ("", UNVERIFIED)])
def test_an_offline_copy_is_advised(offline: str, verdict: Verdict) -> None:
    """Without an offline copy the plan is marginal, and that does not bind."""
    found = judged(destination("disk", "disk", offline=offline))["offline"]
    assert (found.verdict, found.binding) == (verdict, False)


@pytest.mark.parametrize(("encrypted", "verdict"), [("true", MET), ("false", MARGINAL), ("", UNVERIFIED)])
def test_what_leaves_the_site_is_to_be_encrypted(encrypted: str, verdict: Verdict) -> None:
    """Plain copies off-site are marginal and named; at home nothing is asked."""
    found = judged(destination("cloud", "cloud", offsite="true", encrypted=encrypted))["encrypted"]
    assert (found.verdict, found.binding) == (verdict, False)
    assert "encrypted" not in judged(destination("server", "file server", encrypted=encrypted))


def test_no_destination_is_a_question_not_answered() -> None:
    """Without destinations nothing is short: the key is blank."""
    found = judged()
    assert {one.verdict for one in found.values()} == {UNVERIFIED}
    assert {one.why for one in found.values()} == {"`backup.destinations` is blank in the worksheet"}


def test_a_destination_too_small_for_one_full_is_no_copy() -> None:
    """What cannot hold a single full is told from copies; where either size is unknown it is not."""
    backup = backup_of("[backup]\n" + destination("disk", "disk", capacity='"100 GB"'))
    assert copies(backup, 101 * 10**9)[0].counts is False
    assert copies(backup, 100 * 10**9)[0].counts is True
    assert copies(backup, None)[0].counts is True
