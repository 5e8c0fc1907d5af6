"""A survey as JSON."""

from __future__ import annotations

from pcaudit.core.json_text import dump_json
from pcaudit.core.survey import Survey, survey_mapping


def render(survey: Survey) -> str:
    """The JSON form of a survey."""
    return dump_json(survey_mapping(survey))
