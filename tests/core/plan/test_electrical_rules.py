"""What is known of mains electricity in a country."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import pcaudit.knowledge
from pcaudit.core.knowledge_data import KnowledgeError
from pcaudit.core.plan.electrical_rules import read
from pcaudit.errors import UsageError
from pcaudit.loading import KNOWLEDGE_FILES, electrical

FILE = Path(pcaudit.knowledge.__file__).with_name("electrical.toml")
CODES = {*("US", "CA", "GB", "IE", "DE", "AT", "CH", "FR", "IT", "NL", "JP", "AU", "CN", "IN")}


def data() -> dict[str, Any]:
    """The shipped file, parsed afresh so that a test may spoil it."""
    return tomllib.loads(FILE.read_text(encoding="utf-8"))


SHIPPED = read(data())


def test_the_shipped_file_is_read() -> None:
    """The shipped file has the countries a laboratory is likely to be in, and the day it is of."""
    assert SHIPPED.countries.keys() >= CODES
    assert date(2026, 11, 25) <= SHIPPED.date
    assert electrical() == SHIPPED and "electrical.toml" in KNOWLEDGE_FILES


@pytest.mark.parametrize(
    ("code", "volts"),
    # IEC 60038: 230 V is the standard in Europe, 120 V in North America; the others from memory.
    [("AT", 230), ("GB", 230), ("IE", 230), ("US", 120), ("CA", 120), ("JP", 100), ("CN", 220), ("IN", 230)],
)
def test_nominal_voltages(code: str, volts: int) -> None:
    """The voltage of ordinary sockets stands first, and is the lowest of the country's."""
    voltages = SHIPPED.countries[code].voltages
    assert voltages[0] == volts == min(voltages)


@pytest.mark.parametrize(
    ("code", "kind", "amperes"),
    [
        ("GB", "BS 1363", 13),  # BS 1363, by secondary texts
        ("US", "NEMA 5-15", 15),  # from memory, like those below
        ("US", "nema 5-20", 20),
        ("AT", "CEE 7/3", 16),
        ("FR", "CEE 7/5", 16),
        ("CH", "SN 441011 type 13", 10),
        ("AU", "AS/NZS 3112", 10),
    ],
)
def test_sockets(code: str, kind: str, amperes: int) -> None:
    """A type of socket is found whatever its case, with what it gives."""
    socket = SHIPPED.countries[code].socket(kind)
    assert socket is not None and socket.rating == amperes


def test_an_unknown_socket_is_not_guessed() -> None:
    """A type of socket that the country does not have is none."""
    assert SHIPPED.countries["AT"].socket("NEMA 5-15") is None


def test_continuous_load_rules() -> None:
    """North America allows 80 % for hours, Europe has no general rule, elsewhere nothing is known."""
    # NFPA 70, 210.20(A) and table 210.21(B)(2), by secondary texts; CSA C22.1, 8-104, from memory.
    united_states = SHIPPED.countries["US"]
    assert united_states.continuous is not None and united_states.continuous.share == Fraction(4, 5)
    assert united_states.socket_share is not None and united_states.socket_share.share == Fraction(4, 5)
    canada = SHIPPED.countries["CA"].continuous
    assert canada is not None and canada.share == Fraction(4, 5)
    austria = SHIPPED.countries["AT"].continuous
    assert austria is not None and austria.share == 1
    assert SHIPPED.countries["JP"].continuous is None


def test_fuses_in_plugs() -> None:
    """British plugs have fuses of 3 A and 13 A, plugs of the continent have none."""
    # BS 1362, by secondary texts.
    fuses = SHIPPED.countries["GB"].plug_fuses
    assert fuses is not None and fuses.ratings == (3, 13)
    assert SHIPPED.countries["DE"].plug_fuses is None


def test_what_is_from_memory_says_so() -> None:
    """No source is empty, and every value that no text was at hand for is marked."""
    for country in SHIPPED.countries.values():
        shares = [one for one in (country.continuous, country.socket_share) if one]
        for source in (country.voltages_source, country.sockets_source, *(one.source for one in shares)):
            assert "memory" in source or "secondary texts" in source, country.code


def _set(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    """A change of one value; a path ends in the key, and names countries by their number."""

    def change(document: dict[str, Any]) -> None:
        *above, key = [int(part) if part.isdigit() else part for part in path.split("/")]
        here: Any = document
        for part in above:
            here = here[part]
        if value is None:
            del here[key]
        else:
            here[key] = value

    return change


@pytest.mark.parametrize(
    ("path", "value", "key"),
    [
        ("meta/format", 2, "meta.format"),
        ("meta/format", True, "meta.format"),
        ("meta/date", "2026-11-25", "meta.date"),
        ("meta/date", None, "meta.date"),
        ("meta/sources", [], "countries[0].breakers_source"),
        ("meta/sources", [{"id": "a", "title": "A"}, {"id": "a", "title": "B"}], "meta.sources[1].id"),
        ("extra", 1, "extra"),
        ("countries", {}, "countries"),
        ("countries/0/code", "USA", "countries[0].code"),
        ("countries/0/code", "us", "countries[0].code"),
        ("countries/1/code", "US", "countries[1].code"),
        ("countries/0/name", "", "countries[0].name"),
        ("countries/0/nmae", "x", "countries[0].nmae"),
        ("countries/0/voltages", [], "countries[0].voltages"),
        ("countries/0/voltages", [0], "countries[0].voltages"),
        ("countries/0/voltages", ["120"], "countries[0].voltages"),
        ("countries/0/voltages", [True], "countries[0].voltages"),
        ("countries/0/voltages_source", "hearsay", "countries[0].voltages_source"),
        ("countries/0/sockets", [], "countries[0].sockets"),
        ("countries/0/sockets", [{"type": "A"}], "countries[0].sockets[0].rating"),
        ("countries/0/sockets", [{"type": "A", "rating": 0}], "countries[0].sockets[0].rating"),
        (
            "countries/0/sockets",
            [{"type": "A", "rating": 1}, {"type": "a", "rating": 2}],
            "countries[0].sockets[1].type",
        ),
        ("countries/0/sockets_source", None, "countries[0].sockets_source"),
        ("countries/0/breakers", [], "countries[0].breakers"),
        ("countries/0/breakers_source", None, "countries[0].breakers_source"),
        ("countries/0/continuous/share", 0, "countries[0].continuous.share"),
        ("countries/0/continuous/share", 120, "countries[0].continuous.share"),
        ("countries/0/continuous/share", 0.8, "countries[0].continuous.share"),
        ("countries/0/continuous/source", None, "countries[0].continuous.source"),
        ("countries/0/continuous/note", "x", "countries[0].continuous.note"),
        ("countries/2/plug_fuses/ratings", [], "countries[2].plug_fuses.ratings"),
        ("countries/2/plug_fuses", 13, "countries[2].plug_fuses"),
    ],
)
def test_a_wrong_file_says_where(path: str, value: object, key: str) -> None:
    """A value that is missing, of another type or out of reason is told by its key."""
    document = data()
    _set(path, value)(document)
    with pytest.raises(KnowledgeError) as caught:
        read(document)
    assert caught.value.key == key


def test_a_file_of_ones_own_replaces_the_shipped_one(tmp_path: Path) -> None:
    """A folder of newer knowledge is used whole, and a wrong file in it is refused by its name."""
    mine = tmp_path / "electrical.toml"
    text = FILE.read_text(encoding="utf-8")
    mine.write_text(text[: text.index("[[countries]]")] + text[text.index('[[countries]]\ncode = "CA"') :])
    assert "US" not in electrical(str(tmp_path)).countries
    mine.write_text("[meta]\nformat = 9\n")
    with pytest.raises(UsageError, match=r"electrical\.toml.*format"):
        electrical(str(tmp_path))
    with pytest.raises(UsageError, match="no such folder"):
        electrical(str(tmp_path / "missing"))


def test_a_folder_without_it_leaves_the_shipped_one(tmp_path: Path) -> None:
    """A folder with other knowledge files only changes nothing here."""
    (tmp_path / "remedies.toml").write_text("[remedies]\n")
    assert electrical(str(tmp_path)) == SHIPPED
