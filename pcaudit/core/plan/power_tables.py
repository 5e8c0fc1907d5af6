"""The electrical part of a place in figures and tables."""

from __future__ import annotations

from typing import Any, Final

from pcaudit.core.plan.bounds import Bounds, show, show_bounds
from pcaudit.core.plan.grid import Grid
from pcaudit.core.plan.section import Figure, Table
from pcaudit.core.plan.site_findings import called
from pcaudit.core.plan.wiring import load_of, volt_amperes_of
from pcaudit.core.worksheet.site import Circuit, Outlet, Strip, Thing

_NAME: Final = "place.power"


def _thing_figure(grid: Grid, thing: Thing) -> Figure | None:
    """The current of one piece, where it can be reckoned."""
    circuit = grid.wiring.circuit(thing.plugged_into)
    volts = grid.mains.volts(circuit)
    va = volt_amperes_of(thing)
    drawn = grid.mains.amperes(va, circuit)
    if volts is None or drawn.high is None or thing.power is None or thing.power_factor is None:
        return None
    return Figure(
        f"{_NAME}.thing[{thing.id}].current",
        f"Current of {thing.title}, each",
        float(drawn.high),
        "A",
        show(drawn.high, "A", 2),
        "power / (voltage x power factor)",
        (
            ("power", f"{float(thing.power):g} W"),
            ("voltage", f"{float(volts):g} V"),
            ("power factor", f"{float(thing.power_factor):g}"),
        ),
        note="by the larger of this and the apparent power entered" if thing.apparent is not None else "",
    )


def _circuit_figures(grid: Grid, circuit: Circuit) -> list[Figure]:
    volts, rating = grid.mains.volts(circuit), circuit.rating
    if volts is None or rating is None or grid.mains.odd(circuit):
        return []
    share = 1 / grid.mains.factor
    most = rating * share * volts
    rule = grid.mains.country.continuous if grid.mains.country else None
    lasts = f", {rule.lasts}" if rule and rule.lasts else ""
    out = [
        Figure(
            f"{_NAME}.circuit[{circuit.id}].usable",
            f"What may hang on {called('circuit', circuit.id, circuit.title)}{lasts}",
            float(most),
            "VA",
            show(most, "VA", 1, up=False),
            "rating x share x voltage",
            (
                ("rating", f"{float(rating):g} A"),
                ("share", f"{float(share * 100):g} %"),
                ("voltage", f"{float(volts):g} V"),
            ),
            source=grid.mains.rule,
        )
    ]
    load = grid.circuit_load(circuit)
    drawn = grid.mains.amperes(load.va, circuit)
    out.append(
        Figure(
            f"{_NAME}.circuit[{circuit.id}].current",
            f"Current in {called('circuit', circuit.id, circuit.title)}",
            None if drawn.high is None else float(drawn.high),
            "A",
            show_bounds(drawn, "A", 2),
            "sum of apparent powers / voltage",
            (("sum of apparent powers", show_bounds(load.va, "VA")), ("voltage", f"{float(volts):g} V")),
            note="a lower bound: something is not entered" if drawn.high is None else "",
        )
    )
    return out


def cell(bounds: Bounds, digits: int = 1) -> str:
    """An amount in a column that names the unit."""
    text = show_bounds(bounds, "", digits).strip()
    return text.replace("at least", "from").replace("not known", "?")


def _things_table(grid: Grid) -> Table:
    rows, data = [], []
    for thing in grid.site.things:
        load = load_of(thing, grid.mains.factor)
        drawn = grid.mains.amperes(load.va, grid.wiring.circuit(thing.plugged_into))
        name = f"{thing.pieces} x {thing.title}" if thing.pieces > 1 else thing.title
        rows.append(
            (
                name,
                thing.plugged_into or "?",
                cell(load.watts),
                cell(load.va),
                cell(drawn, 2),
                thing.basis or "not said",
            )
        )
        data.append(
            {
                "thing": thing.id,
                "plugged_into": thing.plugged_into,
                "pieces": thing.pieces,
                "watts": _data(load.watts),
                "volt_amperes": _data(load.va),
                "amperes": _data(drawn),
                "basis": thing.basis,
            }
        )
    columns = ("thing", "plugged into", "W", "VA", "A", "by")
    note = "Amounts are of all pieces together; ? is not known, from is the least."
    return Table("What is plugged where", columns, tuple(rows), tuple(data), note)


def _data(bounds: Bounds) -> dict[str, float | None]:
    return {
        "at_least": float(bounds.low),
        "at_most": None if bounds.high is None else float(bounds.high),
    }


def figures(grid: Grid) -> tuple[Figure, ...]:
    """What was computed for circuits and things, with formula and inputs."""
    of_circuits = [figure for one in grid.site.circuits for figure in _circuit_figures(grid, one)]
    of_things = [_thing_figure(grid, one) for one in grid.site.things]
    return (*of_circuits, *(one for one in of_things if one))


_SURGE: Final = {True: "yes", False: "no", None: "not said"}


def _socket_row(grid: Grid, one: Outlet | Strip) -> tuple[tuple[str, ...], dict[str, Any]]:
    load = grid.wiring.load(one.id)
    drawn = grid.mains.amperes(load.va, grid.wiring.circuit(one.id))
    hangs_on = one.circuit if isinstance(one, Outlet) else one.plugged_into
    used, there = grid.wiring.plugs_in(one.id), "?" if one.sockets is None else str(one.sockets)
    rating = "?" if one.rating is None else f"{float(one.rating):g}"
    surge = _SURGE[one.surge] if isinstance(one, Strip) else ""
    row = (one.title, hangs_on or "?", cell(drawn, 2), rating, f"{used} of {there}", surge)
    data = {
        "id": one.id,
        "on": hangs_on,
        "amperes": _data(drawn),
        "rating": None if one.rating is None else float(one.rating),
        "sockets_used": used,
        "sockets": one.sockets,
    }
    return row, data


def _sockets_table(grid: Grid) -> Table:
    both: tuple[Outlet | Strip, ...] = (*grid.site.outlets, *grid.site.strips)
    made = [_socket_row(grid, one) for one in both]
    columns = ("outlet or strip", "on", "A", "rating A", "sockets", "surge")
    return Table(
        "Outlets and strips", columns, tuple(row for row, _ in made), tuple(data for _, data in made)
    )


def power_tables(grid: Grid) -> tuple[Table, ...]:
    """What is plugged where, and what outlets and strips carry."""
    out = [_things_table(grid)] if grid.site.things else []
    return (*out, _sockets_table(grid)) if grid.site.outlets or grid.site.strips else tuple(out)
