"""``pcaudit profile explain``."""

from __future__ import annotations

from pcaudit.cli.options import Output, ProfileFile, Quiet, keep_inputs, remark, screen, write


def explain(profile: ProfileFile, output: Output = "-", quiet: Quiet = False) -> None:
    """Say in numbered sentences everything a profile asks, to be checked on paper and signed."""
    from pcaudit import app as use
    from pcaudit.core.explain import explain as in_sentences
    from pcaudit.render.explain_text import render

    compiled = use.load_profile(profile)
    keep_inputs(output, [source.path for source in compiled.sources])
    write(output, render(in_sentences(compiled), screen(output)))
    if output != "-":
        remark(quiet, f"page written to {output}")
