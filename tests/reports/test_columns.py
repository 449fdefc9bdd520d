"""How wide text for people may be: what is asked for, COLUMNS, the terminal, or 80."""

from __future__ import annotations

import io
import os

import pytest

from preflight.reports.columns import LEAST_COLUMNS, MOST_COLUMNS, columns, is_terminal


class Terminal(io.StringIO):
    """A terminal that a test stands in for; its descriptor is that of nothing."""

    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        return 1_000_000


@pytest.fixture(autouse=True)
def terminal_of_132(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr(os, "get_terminal_size", lambda _descriptor: os.terminal_size((132, 50)))


def test_a_terminal_tells_its_own_width_and_a_pipe_is_80() -> None:
    assert columns(Terminal()) == 132
    assert columns(io.StringIO()) == 80
    assert columns(None) == 80


@pytest.mark.parametrize("stream", [Terminal(), io.StringIO()])
def test_columns_goes_before_terminal_and_pipe(stream: io.StringIO, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    assert columns(stream) == 100
    assert columns(stream, wanted=60) == 60


@pytest.mark.parametrize("said", ["", "0", "-5", "wide", "80.5", "9" * 5000])
def test_columns_that_is_no_number_of_columns_is_passed_over(
    said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", said)
    assert columns(Terminal()) == 132


@pytest.mark.parametrize(
    ("said", "kept"), [("1", LEAST_COLUMNS), ("39", 40), ("200", 200), ("1000", MOST_COLUMNS)]
)
def test_never_under_40_nor_over_200(said: str, kept: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", said)
    assert columns(io.StringIO()) == kept
    assert columns(io.StringIO(), wanted=int(said)) == kept


def test_a_terminal_that_does_not_tell_its_width_is_80(monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(_descriptor: int) -> os.terminal_size:
        raise OSError

    monkeypatch.setattr(os, "get_terminal_size", refused)
    assert columns(Terminal()) == 80
    monkeypatch.setattr(os, "get_terminal_size", lambda _descriptor: os.terminal_size((0, 0)))
    assert columns(Terminal()) == 80


def test_a_closed_stream_is_no_terminal() -> None:
    closed = Terminal()
    closed.close()
    assert not is_terminal(closed)
    assert columns(closed) == 80
