"""The example that docs/place-and-power.md reckons by hand, and what that page says of the rules."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.core.plan.sites import MET, figures, findings, shipped

PAGE = Path(__file__).parents[3] / "docs" / "place-and-power.md"
TEXT = PAGE.read_text(encoding="utf-8")


def example() -> str:
    """The worksheet of the page."""
    found = re.search(r"```toml\n(.*?)```", TEXT, re.S)
    assert found is not None
    return found[1]


@pytest.mark.parametrize(
    ("name", "found"),
    # By hand, step by step on the page.
    [
        ("supply.supply[ups].va", "461.6 VA"),
        ("supply.supply[ups].w", "300 W"),
        ("power.circuit[panel-7].load", "7.98 to 19.8 A counted, 6.94 to 15.84 A drawn"),
        ("power.outlet[bench-left].load", "6.94 to 15.84 A"),
        ("supply.supply[ups].runtime", "17.6 min"),
        ("heat.room", "783.4 W"),
    ],
)
def test_the_example_comes_to_what_the_page_reckons(name: str, found: str) -> None:
    """Every verdict of the example is met, with the figures of the page."""
    finding = findings(example())[name]
    assert finding.verdict is MET
    assert finding.found == f"{found}, within the figures entered"


@pytest.mark.parametrize(
    ("name", "value", "said"),
    [
        ("power.thing[pc].current", 3.85, "= 3.85 A"),
        ("power.thing[pump].current", 4.17, "= 4.17 A"),
        ("heat.total", 783.3, "= 783.3 W = 2672.8 BTU/h"),
        ("supply.supply[ups].runtime", 31.104 * 60, "= 31.1 min"),
        ("power.circuit[panel-7].usable", 1920, "within the 20 A"),
    ],
)
def test_the_figures_of_the_example_stand_on_the_page(name: str, value: float, said: str) -> None:
    """The page says the figures that the plan computes."""
    figure = figures(example())[name]
    assert figure.value == pytest.approx(value, abs=0.05) and said in TEXT


def test_the_page_names_every_country() -> None:
    """The countries of the page are those of the knowledge file."""
    assert f"{', '.join(shipped().countries)}." in TEXT.replace("\n", " ")
