"""Tests of the Windows session: who probes, from where, and with what rights."""

from __future__ import annotations

from typing import Any

import pytest

from pcaudit.core.snapshot import Form, Observation
from pcaudit.probes.windows import session
from tests.windows.pc import NO_ANSWER, pc, readings
from tests.windows.recorded import DENIED


def remote(environ: dict[str, str] | None = None, **answers: Any) -> Observation:
    """Reading session.remote of a PC that answers so."""
    return readings(session, pc(environ=environ, **answers))["session.remote"]


def test_a_person_at_the_console_is_seen() -> None:
    """At the console the session is not remote, and rights are the token's."""
    found = readings(session, pc())
    assert found["session.user"].value == "anna"
    assert found["session.remote"].value is False
    assert found["session.elevated"].value is False
    assert readings(session, pc(elevated=True))["session.elevated"].value is True


@pytest.mark.parametrize(
    ("environ", "answers", "word"),
    [
        ({"SSH_CONNECTION": "192.0.2.7 50100 192.0.2.9 22"}, {"session": 0}, "SSH"),
        ({}, {"remote_session": True, "session": 2}, "SM_REMOTESESSION"),
        # A remote session that uses the PC's own graphics card has no SM_REMOTESESSION.
        ({}, {"session": 2}, "WTSGetActiveConsoleSessionId"),
        ({}, {"session": 0}, "no console"),
        ({}, {"console_session": 0xFFFF_FFFF}, "no session at the console"),
        ({}, {"session": 0, "remote_session": NO_ANSWER}, "no console"),
    ],
)
def test_whoever_is_not_at_the_console_is_remote(
    environ: dict[str, str], answers: dict[str, Any], word: str
) -> None:
    """Remote desktop, SSH, a service and a session that lost its console are remote, each by name."""
    found = remote(environ, **answers)
    assert found.value is True
    assert word in found.source


@pytest.mark.parametrize("call", ["session", "console_session", "remote_session"])
def test_without_one_of_its_answers_the_console_is_not_known(call: str) -> None:
    """No answer is left out to call a session local."""
    answers: dict[str, Any] = {call: NO_ANSWER}
    found = remote(**answers)
    assert found.form is Form.UNKNOWN
    assert found.why == str(NO_ANSWER)


@pytest.mark.parametrize(("call", "name"), [("user_name", "user"), ("elevated", "elevated")])
def test_a_call_that_is_refused_costs_its_own_reading_only(call: str, name: str) -> None:
    """What one call does not answer leaves the others standing."""
    answers: dict[str, Any] = {call: DENIED}
    found = readings(session, pc(**answers))
    refused = found.pop(f"session.{name}")
    assert refused.form is Form.UNKNOWN
    assert "administrator" in refused.why
    assert all(each.form is Form.KNOWN for each in found.values())


def test_an_empty_name_is_no_name() -> None:
    """A user without a name is unknown."""
    assert readings(session, pc(user_name=""))["session.user"].form is Form.UNKNOWN
