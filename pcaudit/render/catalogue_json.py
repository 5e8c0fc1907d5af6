"""The catalogue, or the readings of one PC, as a JSON document of kind ``readings``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from pcaudit.core.catalogue import CATALOGUE, Property, Reading
from pcaudit.core.snapshot import Observation, form_of

FORMAT: Final = 1
"""Newest format of this document that this version writes."""


def _property(spec: Property) -> dict[str, Any]:
    out: dict[str, Any] = {
        "title": spec.title,
        "type": spec.type.value,
        "unit": spec.kind.base if spec.kind else None,
    }
    if spec.words:
        out["words"] = list(spec.words)
    return out


def _record(record: Reading) -> dict[str, Any]:
    out = _property(record.value)
    out |= {"meaning": record.meaning, "derived": record.derived}
    if not record.derived:
        out["sources"] = {"linux": record.linux, "windows": record.windows, "macos": record.macos}
    if record.items:
        out["items"] = {key: _property(spec) for key, spec in record.items.items()}
    return out


def _form(name: str, observation: Observation) -> dict[str, Any]:
    form = form_of(observation)
    record = CATALOGUE.get(name)
    return {**form, "derived": True} if record and record.derived else form


def readings_mapping(
    observations: Mapping[str, Observation] | None = None, only: str | None = None
) -> dict[str, Any]:
    """The document, ready to write.

    Args:
        observations: Readings of one PC by name, derived ones too; without them the document says
            what each reading is.
        only: Name of the one reading asked for; none is in the document where it is not known.

    Returns:
        A document of kind ``readings``.
    """
    if observations is None:
        readings = {name: _record(record) for name, record in CATALOGUE.items()}
    else:
        readings = {name: _form(name, observation) for name, observation in observations.items()}
    if only is not None:
        readings = {name: form for name, form in readings.items() if name == only}
    return {"kind": "readings", "format": FORMAT, "readings": readings}
