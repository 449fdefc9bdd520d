"""Forms that draw forms that draw forms: refused before they are run, counted as they are drawn."""

from __future__ import annotations

import pytest
from small_pdfs import one_page, stream

from preflight.readers.errors import Unreadable
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.content.expansion import Expansion
from preflight.readers.pdf.read import read


def nested(depth: int, times: int, last: str = "0 0 m 5 5 l S") -> bytes:
    """A page that draws a form, which draws the next so many times, and so on; the last one draws a line."""
    form = "/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /Next %d 0 R >> >>"
    forms = {
        10 + level: stream("/Next Do " * times if level < depth - 1 else last, form % (11 + level))
        for level in range(depth)
    }
    return one_page("/First Do", resources="/XObject << /First 10 0 R >>", others=forms)


def test_an_explosion_is_refused_before_it_is_run(monkeypatch: pytest.MonkeyPatch) -> None:
    entered = 0
    enter = Expansion.enter

    def counting(self: Expansion, draws: dict[str, int], name: str) -> None:
        nonlocal entered
        entered += 1
        enter(self, draws, name)

    monkeypatch.setattr(Expansion, "enter", counting)
    with pytest.raises(Unreadable, match="200,000"):
        read(nested(12, 10), "explosion.pdf", Limits())
    assert entered < 1000


def test_what_keeps_to_the_limit_is_drawn_whole() -> None:
    page = read(nested(4, 10), "forms.pdf", Limits(use_expansion=1111))[0]  # 1 + 10 + 100 + 1000 forms
    assert len(page.objects) == 1000
    with pytest.raises(Unreadable, match="1,110"):
        read(nested(4, 10), "forms.pdf", Limits(use_expansion=1110))


def test_how_often_each_is_drawn_is_multiplied() -> None:
    def foreseen(limit: int) -> None:
        """C is drawn ten times by B, which is drawn nine times by A: 1 + 9 + 90 forms."""
        expansion = Expansion(Limits(use_expansion=limit), Deadline(10), 1)
        expansion.enter({}, "A")
        expansion.enter({"B": 9, "C": 2}, "B")
        expansion.enter({"C": 10}, "C")
        expansion.leave("C")

    foreseen(100)
    with pytest.raises(Unreadable):
        foreseen(99)
