"""A survey as JSON, each PC written by itself: all of them as data would take ten times the room."""

from __future__ import annotations

from typing import Final

from pcaudit.core.json_text import dump_json
from pcaudit.core.survey import Survey, pc_mapping, survey_mapping

_HERE: Final = "the PCs stand here"
_INDENT: Final = "\n    "


def render(survey: Survey) -> str:
    """The JSON form of a survey."""
    shown = survey.shown()
    if not shown:
        return dump_json(survey_mapping(survey))
    # Line ends inside texts are escaped, so no text can look like the list with the mark in it.
    around = dump_json({**survey_mapping(survey, listed=False), "pcs": [_HERE]})
    before, after = around.split(f'"pcs": [{_INDENT}"{_HERE}"\n', 1)
    pieces = (dump_json(pc_mapping(survey, index)).rstrip("\n").replace("\n", _INDENT) for index in shown)
    return f'{before}"pcs": [{_INDENT}{f",{_INDENT}".join(pieces)}\n{after}'
