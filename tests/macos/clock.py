"""The moment at which recorded Macs are probed."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Final

NOW: Final = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
