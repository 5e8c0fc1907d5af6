"""Which network adapter a PC reaches its site by, so that no other purpose takes it away.

Two ports may fall short of a row alike. Setting the wrong one otherwise cuts the PC off.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

CUTS: Final = frozenset({"link_up", "speed", "addresses", "addressing", "gateway"})
"""Keys of an adapter that, set otherwise, may end the connections over it."""

CAVEAT: Final = "this adapter leads to the gateway: without its settings of now the PC may be cut off"
"""What to know before one of them is set on the adapter the PC reaches its site by."""


def leads_out(adapter: Mapping[str, Any]) -> bool:
    """Whether an adapter leads to a gateway."""
    return bool(adapter.get("gateway"))


def use(adapter: Mapping[str, Any]) -> int:
    """How much an adapter is in use: 3 with a gateway, 2 with a link, 1 where that is not known, 0 idle."""
    if leads_out(adapter):
        return 3
    link = adapter.get("link_up")
    return 1 if link is None else 2 * bool(link)
