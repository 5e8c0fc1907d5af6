"""A site with its wiring and its mains: what every electrical question needs."""

from __future__ import annotations

from typing import NamedTuple

from pcaudit.core.plan.bounds import Limit
from pcaudit.core.plan.mains import Mains
from pcaudit.core.plan.site_findings import Desk
from pcaudit.core.plan.wiring import Load, Wiring, other_load, perhaps, together
from pcaudit.core.worksheet.site import Circuit, Outlet, Site


class Grid(NamedTuple):
    """A site with its wiring, its mains, and who writes its findings."""

    site: Site
    wiring: Wiring
    mains: Mains
    desk: Desk

    def outlets_of(self, circuit: Circuit) -> list[Outlet]:
        """The outlets on a circuit."""
        return [one for one in self.site.outlets if one.circuit == circuit.id]

    def circuit_load(self, circuit: Circuit) -> Load:
        """Everything on a circuit; an outlet whose circuit nobody entered may be on it or not."""
        outlets = [self.wiring.load(one.id) for one in self.outlets_of(circuit)]
        lost = [
            perhaps(self.wiring.load(one.id), f"enter `circuit` of outlet {one.id}")
            for one in self.site.outlets
            if not one.circuit
        ]
        return together((*outlets, *lost, other_load(circuit, self.mains.factor)))

    def outlet_limits(self, outlet: Outlet) -> tuple[Limit, ...]:
        """What an outlet gives."""
        circuit = self.wiring.circuit(outlet.id)
        alone = circuit is not None and outlet.sockets == 1 and len(self.outlets_of(circuit)) == 1
        return self.mains.outlet_limits(outlet, alone)

    def socket_limit(self, outlet: Outlet) -> Limit | None:
        """What one socket of an outlet gives, where that is less than the outlet as a whole."""
        return self.mains.socket_limit(outlet)
