"""Whole outputs to compare with; ``python -m tests.render.golden`` writes them anew."""

from __future__ import annotations

from pathlib import Path
from typing import Final

from pcaudit.app import load_profile
from pcaudit.core.explain import explain
from pcaudit.core.report import Report, Verdict
from pcaudit.render import explain_text
from pcaudit.render.console import render
from pcaudit.render.interface import TRUE_COLOUR, Screen
from tests.render.samples import FINDINGS, finding, report

HOSTILE: Final = (
    "\x1b[31mred\x1b[0m [red]markup[/red] [/b] :smile: 00:00:5e:00:53:ab \u202egnp.exe\u2069 "
    "one\ntwo\tthree \x07 \x9b2J"
)
LONG: Final = "A" * 10_000

SCREENS: Final = {
    "80-ascii": Screen(80),
    "80-drawn": Screen(80, unicode=True),
    "140-ascii": Screen(140),
    "140-drawn": Screen(140, TRUE_COLOUR, unicode=True),
}


def golden_report() -> Report:
    """The sample report, and findings with text that would do harm if it were obeyed."""
    hostile = finding(
        "software.packages[old]",
        Verdict.UNMET,
        title=HOSTILE,
        found=HOSTILE,
        remedy=HOSTILE,
        owner=":smile: [red]",
    )
    long = finding("software.packages[long]", Verdict.UNVERIFIED, title="Long", found="unknown", why=LONG)
    return report(
        (*FINDINGS, hostile, long),
        warnings=("The readings are 9 days old: probe again.",),
        computer={"host_name": "bench-\x1b]0;pc\x07", "model": "Benchtop 7", "serial_number": "B7-0042"},
    )


def explained_page() -> str:
    """The largest example profile in sentences, as ``pcaudit profile explain`` writes it to a file."""
    name = "requirements_profiles/acquisition-workstation.toml"
    profile = load_profile(str(Path(__file__).parents[2] / name))
    sources = (profile.sources[0]._replace(path=name),)
    return explain_text.render(explain(profile._replace(path=name, sources=sources)))


def path(name: str) -> Path:
    """Where the output for a screen is kept."""
    return Path(__file__).with_name("golden") / f"{name}.txt"


def main() -> None:
    """Write every output anew."""
    path("").parent.mkdir(exist_ok=True)
    for name, screen in SCREENS.items():
        path(name).write_text(render(golden_report(), screen), encoding="utf-8", newline="\n")
    path("explained-80").write_text(explained_page(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
