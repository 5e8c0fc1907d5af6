"""Texts that would do harm in some format if they were obeyed, and a report full of them."""

from __future__ import annotations

from typing import Final

from pcaudit.core.report import Report, Verdict
from tests.render.samples import ARRANGEMENTS, FINDINGS, finding, part, report

HOSTILE: Final = (
    "<script>alert(1)</script>",
    "<!-- --><img src=x onerror=y>&amp;&#64;",
    "]]></failure><testcase name='x'/>",
    "=1+1",
    "+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "\n=1",
    'a,"=1+1',
    "a;=cmd|' /C calc'!A0",
    "a; +1|-1",
    "  =1",
    "\uff1d1+1",  # full-width equals sign
    '"=1"',
    "| a | b |",
    "`code` ``two`` `",
    "```",
    "[link](https://192.0.2.1/x) ![image](x)",
    "<https://192.0.2.1>",
    "https://192.0.2.1/a?b=c",
    "www.example.org",
    "someone@example.org and @someone",
    "#12 GH-12 !12 ~label",
    ":smile: $x$ ~~gone~~ **bold** __bold__ *it* _it_",
    "# heading",
    "- item",
    "1. item",
    "> quote",
    "---",
    "===",
    "    indented",
    "[x]: https://192.0.2.1",
    "a\\|b \\",
    "\x00\x1b[31m\x07\x9b2J\ufffe\uffff",
    "\udcff\u202egnp.exe\u2069",
    "A" * 10_000,
    "",
    " ",
)


def hostile_report(text: str) -> Report:
    """A report that says ``text`` wherever a profile, a PC or a person can say something."""
    bad = finding(
        f"software.packages[{text}]",
        Verdict.UNMET,
        title=text,
        required=text,
        found=text,
        why=text,
        because=text,
        remedy=text,
        owner=text,
        source=text,
        parts=(part(text, Verdict.UNMET, 3), part(text, Verdict.MET, 4)),
    )
    return report(
        (*FINDINGS, bad._replace(profile=text, group=text, value=text)),
        arrangements=tuple(
            one._replace(id=text, title=text, kind=text, owner=text, lead_time=text, state=text)
            for one in ARRANGEMENTS
        ),
        not_asked=(text,),
        warnings=(text,),
        title=text,
        computer={"host_name": text, "model": text, "serial_number": text},
    )
