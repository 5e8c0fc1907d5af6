"""Prices of parts, as the lab writes them down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from pcaudit.core.parts import Bought, name_of
from pcaudit.core.places import place_in
from pcaudit.core.prices import EXAMPLES, Prices, read_prices, show_price
from pcaudit.core.toml_text import parse_toml
from pcaudit.errors import MistakesError, Place
from tests.core.builders import GB
from tests.core.candidates import TB

HEAD = 'format = 1\ntitle = "Prices, autumn 2026"\n'


def _read(text: str) -> Prices:
    data, places = parse_toml(text, "prices.toml")

    def place(path: tuple[str | int, ...]) -> Place:
        return place_in(places, "prices.toml", places.offset(path))

    return read_prices(data, path="prices.toml", place=place)


def _prices(parts: str) -> Prices:
    return _read(f'{HEAD}[prices]\ncurrency = "EUR"\n{parts}')


def _mistakes(text: str) -> list[tuple[int, str]]:
    with pytest.raises(MistakesError) as caught:
        _read(text)
    return [(one.place.line if one.place else 0, one.message) for one in caught.value.mistakes]


def test_a_file_is_read() -> None:
    """Every sort of part can be named as it is sold, with whole prices and with hundredths."""
    found = _prices(
        '"memory 16 GB" = 60\n"ssd 1 TB" = 85.50\n"hdd 4 TB" = 100\n"network card 2.5 Gbit/s" = 25\n'
        '"wireless card 1 Gbit/s" = 20\n"Screen  1920 x 1080" = 140\n"graphics card 4 GB" = 0.29\n'
    )
    assert found.currency == "EUR"
    assert [(one.sort, one.amounts, one.price) for one in found.parts] == [
        ("memory", (16 * GB,), 6000),
        ("ssd", (TB,), 8550),
        ("hdd", (4 * TB,), 10000),
        ("network card", (25 * 10**8,), 2500),
        ("wireless card", (10**9,), 2000),
        ("screen", (1920, 1080), 14000),
        ("graphics card", (4 * GB,), 29),
    ]


def test_every_example_is_a_part() -> None:
    """The examples that mistakes show are read as they stand, and say their own name."""
    for sort, example in EXAMPLES.items():
        (part,) = _prices(f'"{example}" = 1\n').parts
        assert (part.sort, name_of(Bought(part.sort, part.amounts))) == (sort, example)


def test_the_cheapest_that_will_do() -> None:
    """A part with more than is needed will do, and of several the cheapest is taken."""
    found = _prices('"ssd 500 GB" = 60\n"ssd 2 TB" = 80\n"ssd 1 TB" = 90\n"hdd 4 TB" = 50\n')
    cheapest = found.cheapest(Bought("ssd", (TB,)))
    assert cheapest is not None and (cheapest.name, cheapest.price) == ("ssd 2 TB", 8000)
    assert found.cheapest(Bought("ssd", (4 * TB,))) is None
    assert found.cheapest(Bought("memory", (GB,))) is None


def test_a_screen_has_two_sides() -> None:
    """A screen will do only where both sides are large enough."""
    found = _prices('"screen 2560x1000" = 90\n"screen 1920x1200" = 140\n')
    cheapest = found.cheapest(Bought("screen", (1920, 1080)))
    assert cheapest is not None and cheapest.name == "screen 1920x1200"


def test_more_is_asked_than_a_price_says() -> None:
    """A part of which something else is asked has no price by its amount alone."""
    found = _prices('"ssd 1 TB" = 90\n')
    assert found.cheapest(Bought("ssd", (TB,), ("bus nvme",))) is None


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ('"memory 16 GB" = "60"', "a price is a number"),
        ('"memory 16 GB" = true', "a price is a number"),
        ('"memory 16 GB" = -1', "a price is a number"),
        ('"memory 16 GB" = 59.999', "a price is a number"),
        ('"memory 16 GB" = 99999999999', "a price is a number"),
        ('"memory 16" = 60', "has no unit"),
        ('"memory 16 gb" = 60', "not a unit"),
        ('"memory 0 GB" = 60', "no amount to buy"),
        ('"memory" = 60', "no part known here"),
        ('"mouse 1 GB" = 60', "no part known here"),
        ('"ssd 1 Gbit/s" = 60', "not a unit"),
        ('"screen 1920" = 60', "no size in pixels"),
        ('"screen 1920x1080x2" = 60', "no size in pixels"),
        ('"screen 24 in" = 60', "no size in pixels"),
    ],
)
def test_a_wrong_part_is_told_at_its_line(part: str, said: str) -> None:
    """A part that is none, or a price that is none, is a mistake at its place with what is right."""
    ((line, message),) = _mistakes(f'{HEAD}[prices]\ncurrency = "EUR"\n{part}\n')
    assert line == 5 and said in message


def test_the_same_part_twice_is_a_mistake() -> None:
    """One part has one price, however it is written."""
    ((line, message),) = _mistakes(f'{HEAD}[prices]\ncurrency = "EUR"\n"ssd 1 TB" = 1\n"ssd 1000 GB" = 2\n')
    assert line == 6 and "same part" in message


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "begins with its format"),
        ('format = 2\ntitle = "x"\n[prices]\ncurrency = "EUR"\n', "newer"),
        ('format = true\ntitle = "x"\n[prices]\ncurrency = "EUR"\n', "format"),
        ('format = 1\n[prices]\ncurrency = "EUR"\n', "`title` is a text"),
        (HEAD, "prices are a table"),
        (f"{HEAD}prices = 3\n", "prices are a table"),
        (f'{HEAD}[prices]\n"ssd 1 TB" = 1\n', "`currency` is a text"),
        (f'{HEAD}[prices]\ncurrency = 3\n"ssd 1 TB" = 1\n', "`currency` is a text"),
        (f'{HEAD}price = 1\n[prices]\ncurrency = "EUR"\n', "unknown key `price`"),
    ],
)
def test_a_wrong_file_is_told(text: str, said: str) -> None:
    """A file without its head, its currency or its prices says so."""
    assert any(said in message for _, message in _mistakes(text or "note = 'x'\n"))


@pytest.mark.parametrize(("hundredths", "text"), [(0, "0.00 EUR"), (5990, "59.90 EUR"), (5, "0.05 EUR")])
def test_a_price_in_words(hundredths: int, text: str) -> None:
    """A price has its two decimals and its currency."""
    assert show_price(hundredths, "EUR") == text


def test_no_price_is_lost_to_floats() -> None:
    """Every price of two decimals is exactly its hundredths."""
    found: list[Any] = [
        _prices(f'"ssd 1 TB" = {n // 100}.{n % 100:02}\n').parts[0].price for n in range(1, 999, 7)
    ]
    assert found == list(range(1, 999, 7))


def test_the_example_of_the_page_is_read() -> None:
    """The file that docs/comparing.md shows is one, with every sort of part in it."""
    page = (Path(__file__).parents[2] / "docs" / "comparing.md").read_text(encoding="utf-8")
    _, _, rest = page.partition("```toml\n")
    found = _read(rest.partition("```")[0])
    assert {one.sort for one in found.parts} == set(EXAMPLES)
