"""A comparison as JSON."""

from __future__ import annotations

from pcaudit.core.compare import Comparison, comparison_mapping
from pcaudit.core.json_text import dump_json


def render(comparison: Comparison) -> str:
    """The JSON form of a comparison."""
    return dump_json(comparison_mapping(comparison))
