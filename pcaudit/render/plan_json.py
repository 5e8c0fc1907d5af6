"""A plan as JSON."""

from __future__ import annotations

from pcaudit.core.json_text import dump_json
from pcaudit.core.plan.document import Plan, plan_mapping


def render(plan: Plan) -> str:
    """The JSON form of a plan."""
    return dump_json(plan_mapping(plan))
