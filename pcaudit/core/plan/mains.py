"""The mains of a site: what its country's rules and the ratings entered allow."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from typing import Final, NamedTuple

from pcaudit.core.finding import Verdict
from pcaudit.core.plan.bounds import ZERO, Bounds, Limit, times
from pcaudit.core.plan.electrical_rules import Country, ElectricalKnowledge, Socket
from pcaudit.core.worksheet.site import Circuit, Outlet, Site

HOUSE_MARGIN: Final = Fraction(4, 5)
"""Share of a rating past which a load is close to it: a margin of the house, in no code."""

TOLERANCE: Final = Fraction(1, 10)
"""How far the voltage may be from its nominal value (IEC 60038: 10 %, from memory)."""

MOST_SINGLE_PHASE: Final = 277
"""Highest nominal voltage of one phase, in volts (North America, from memory)."""

_STALE_DAYS: Final = 730


class Mains(NamedTuple):
    """What is known of the mains of a site.

    Attributes:
        code: The country as the worksheet names it, empty where it does not.
        country: What is known of it; None where it is not named, or not in the knowledge.
        gathered: Day the knowledge is of; None where there is none.
    """

    code: str
    country: Country | None
    gathered: date | None

    @property
    def factor(self) -> Fraction:
        """How many times a load counts that runs for hours: 1.25 where 80 % is allowed."""
        rule = self.country.continuous if self.country else None
        return 1 / rule.share if rule else Fraction(1)

    @property
    def rule(self) -> str:
        """Source of the continuous-load rule; empty where there is none."""
        rule = self.country.continuous if self.country else None
        return rule.source if rule and rule.share < 1 else ""

    def close(self) -> tuple[Verdict, str]:
        """What a load is that is within a rating but past the house margin, and why."""
        if self.country and self.country.continuous:
            return Verdict.MARGINAL, "more than 80 % of the rating: past a margin of the house, in no code"
        if self.country:
            why = f"no rule for loads that run for hours is known here for {self.country.name}"
        elif self.code:
            why = f"the electrical rules of {self.code} are not known here"
        else:
            why = "enter `country`: without it no rule for loads that run for hours is known"
            return Verdict.UNVERIFIED, f"{why}, and this is more than 80 % of the rating"
        return Verdict.UNVERIFIED, f"{why}, and this is more than 80 % of the rating: ask an electrician"

    def volts(self, circuit: Circuit | None) -> Fraction | None:
        """The voltage of a circuit: as entered, else the lowest that is usual there (the highest current)."""
        if circuit and circuit.voltage is not None:
            return circuit.voltage
        return Fraction(min(self.country.voltages)) if self.country else None

    def odd(self, circuit: Circuit | None) -> str:
        """Why a voltage as entered cannot be reckoned with; empty where it can."""
        if circuit is None or circuit.voltage is None:
            return ""
        volts = circuit.voltage
        if volts > MOST_SINGLE_PHASE * (1 + TOLERANCE):
            return f"circuit {circuit.id} has more than one phase: enter each phase as a circuit of its own"
        usual = self.country.voltages if self.country else ()
        if usual and all(abs(volts - one) > one * TOLERANCE for one in usual):
            name = self.country.name if self.country else ""
            listed = " or ".join(map(str, usual))
            return f"look at `voltage` of circuit {circuit.id} again: {listed} V is usual in {name}"
        return ""

    def amperes(self, va: Bounds, circuit: Circuit | None) -> Bounds:
        """The current that an apparent power is, on a circuit."""
        volts, odd = self.volts(circuit), self.odd(circuit)
        if odd:
            return Bounds(ZERO, None, (odd,))
        if volts is None:
            name = f"`voltage` of circuit {circuit.id}" if circuit else "the circuit and its `voltage`"
            return Bounds(ZERO, None, (f"enter {name}, or `country`",))
        return times(va, 1 / volts)

    def outlet_limits(self, outlet: Outlet, alone: bool) -> tuple[Limit, ...]:
        """What an outlet gives.

        Args:
            outlet: The outlet.
            alone: It is one socket, and the only one on its circuit.
        """
        kind, socket = self._kind(outlet), self._socket(outlet)
        rating = outlet.rating if outlet.rating is not None or kind is None else Fraction(kind.rating)
        limits = [self._shared(outlet, rating, alone)]
        most = Fraction(socket.rating * (outlet.sockets or 1)) if socket else None
        if socket is None or most is None or outlet.rating is None or outlet.rating <= most:
            return tuple(limits)
        if kind:
            return (*limits, Limit(most, f"its sockets by {kind.type} together"))
        asked = f"enter `type` of outlet {outlet.id}: an ordinary socket gives {socket.rating} A at most"
        return (*limits, Limit(None, "its type", f"{asked} ({socket.type})"))

    def socket_limit(self, outlet: Outlet) -> Limit | None:
        """What one socket of an outlet gives, where that is less than the outlet as a whole."""
        socket = self._socket(outlet)
        if socket is None or outlet.rating is None or outlet.rating <= socket.rating:
            return None
        rule = self.country.socket_share if self.country else None
        share = rule.share if rule else Fraction(1)
        part = f"{float(share * 100):g} % of " if rule else ""
        return Limit(socket.rating * share, f"{part}a socket by {socket.type}")

    def _kind(self, outlet: Outlet) -> Socket | None:
        return self.country.socket(outlet.type) if self.country and outlet.type else None

    def _socket(self, outlet: Outlet) -> Socket | None:
        """The type of an outlet's sockets: as entered, else the largest that is ordinary there."""
        return self._kind(outlet) if outlet.type else self._largest()

    def _shared(self, outlet: Outlet, rating: Fraction | None, alone: bool) -> Limit:
        missing = f"enter `rating` or `type` of outlet {outlet.id}"
        rule = self.country.socket_share if self.country else None
        if rating is None or rule is None or alone:
            return Limit(rating, "the outlet", missing)
        part = f"{float(rule.share * 100):g} % of the outlet's {float(rating):g} A"
        return Limit(rating * rule.share, f"{part}, as several sockets are on a circuit", missing)

    def _largest(self) -> Socket | None:
        return max(self.country.sockets, key=lambda one: one.rating) if self.country else None

    def notes(self, site: Site, on: date) -> list[str]:
        """What a reader must know of the rules that were used."""
        if not self.code:
            return ["No country is entered: only the ratings entered are used, no country's rules."]
        if self.country is None:
            return [f"{self.code} is not in the electrical knowledge: only the ratings entered are used."]
        out = [f"Electrical rules of {self.country.name} as known on {self.gathered}."]
        if self.gathered and (on - self.gathered).days > _STALE_DAYS:
            out.append("That is more than two years before the day judged for: ask whether they still hold.")
        if any(one.voltage is None for one in site.circuits):
            volts = min(self.country.voltages)
            source = self.country.voltages_source
            out.append(f"Where no voltage is entered {volts} V is used, nominal there ({source}).")
        out += [
            f"The type of outlet {one.id} is not known here: its rating counts as entered."
            for one in site.outlets
            if one.type and not self._kind(one)
        ]
        if self.country.note:
            out.append(self.country.note)
        return out


def mains_of(site: Site, known: ElectricalKnowledge | None) -> Mains:
    """The mains of a site."""
    country = known.countries.get(site.country) if known else None
    return Mains(site.country, country, known.date if known else None)
