"""``pcaudit profile schema``."""

from __future__ import annotations

from pcaudit.cli.options import Output, Quiet, remark, write


def schema(output: Output = "-", quiet: Quiet = False) -> None:
    """Write the JSON Schema of profiles, by which editors complete and check what is typed."""
    from pcaudit.core.profile_schema import profile_schema
    from pcaudit.files import to_json

    write(output, to_json(profile_schema()))
    if output != "-":
        remark(quiet, f"schema of profiles written to {output}")
