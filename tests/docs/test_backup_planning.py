"""What docs/backup-planning.md works out by hand is what the plan says."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

from pcaudit.core.worksheet.backup import Backup, Destination
from pcaudit.core.worksheet.data import Data
from tests.core.builders import MARGINAL, MET
from tests.core.plan.backup_plans import figure_of, finding_of, plan_of, rows_of, sections_of
from tests.core.worksheet.backup_sheets import backup_of, data_of

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "backup-planning.md").read_text(encoding="utf-8")
SHEET = PAGE.split("```toml\n")[1].split("```")[0]
DAY = date(2027, 3, 15)


def test_the_worksheet_on_the_page_is_whole() -> None:
    """The example has no mistake and leaves only what a snapshot or a measurement would say."""
    blank = {key for key, value in data_of(SHEET)._asdict().items() if value in (None, "")}
    assert blank == {"volume", "archive"}
    assert None not in backup_of(SHEET)
    assert plan_of(SHEET, on=DAY).not_asked == ()


def test_every_key_is_on_the_page() -> None:
    """What the sections of a worksheet can say is described, key by key."""
    described = set(re.findall(r"`([a-z_]+)`", PAGE)) | set(re.findall(r"`([a-z_]+) = ", PAGE))
    keys = {*Data._fields, *Backup._fields, *Destination._fields} - {"partials"} | {"holds", "disks", "raid"}
    of_ours = {"asked", "file", "line", "lines", "destinations", "id", "title"}
    assert keys - of_ours <= described


def test_the_storage_forecast_on_the_page() -> None:
    """Room for 166 weeks, until 20 May 2030, and a volume of 3094.2 GB for ten years."""
    storage = sections_of(SHEET, on=DAY)[1]
    values = {one.id: one for one in storage.figures}
    assert values["storage.lasts"].value == 166 * 7
    assert values["storage.lasts"].shown.endswith("2030-05-20")
    assert values["storage.retention"].value == 2610 * 10**9
    capacity = values["storage.capacity"].value
    assert capacity is not None
    assert -(-capacity // 10**8) / 10 == 3094.2
    assert storage.findings[0].verdict is MARGINAL


def test_the_times_on_the_page() -> None:
    """Size, transfer, loss and restore for the file server are those worked by hand."""
    section = plan_of(SHEET, on=DAY)
    assert figure_of(section, "full") == 65 * 10**9
    assert figure_of(section, "server.changes") == 8 * 10**9
    assert round(figure_of(section, "server.transfer"), 1) == 2755.8
    assert figure_of(section, "server.transfer_cautious") == 6540
    assert figure_of(section, "server.loss") == 86400 + 6540
    assert figure_of(section, "server.restore_cautious") == 6700
    assert finding_of(section, "rpo").found == (
        "25 h 49 min by a cautious estimate, at least 24 h 45 min, from File server; "
        "longer than 26 h from 2028-05-02 on"
    )
    assert rows_of(section, "Loss and restore")[0][3] == "7"
    assert (finding_of(section, "rpo").verdict, finding_of(section, "rto").verdict) == (MARGINAL, MARGINAL)
    assert finding_of(section, "copies").verdict is MET
