"""Files that cost much, made anew and checked one by one: seconds of the processor and memory of each.

``python tests/hostile/costly_files.py [NAME ...]`` measures those named, or all; ``--into FOLDER`` keeps the files. Nothing is judged
here: timings are no tests. What bounds the work is counted in ``test_costly_work.py``.
"""

from __future__ import annotations

import argparse
import math
import random
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

# Sides of the page in mm.
PAGE = 1000
MEASURE = """
import resource, subprocess, sys
ended = subprocess.run([sys.executable, "-m", "preflight", "check", sys.argv[1], "--format", "json"],
    stdout=subprocess.PIPE, stderr=subprocess.STDOUT, check=False)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
said = ended.stdout.decode("utf-8", "replace")
end = " traceback" if "Traceback" in said else ""
print(f"exit {ended.returncode}{end}, {used.ru_utime:.1f} s, {used.ru_maxrss / 1024:.0f} MB, {len(said):,} letters said")
"""


def page(body: str, side: float = PAGE) -> bytes:
    """A square sheet with one layer of cut lines."""
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
        'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="{side}mm" height="{side}mm" viewBox="0 0 {side} {side}">'
        f'<g inkscape:groupmode="layer" inkscape:label="kiss cut" id="layer">{body}</g></svg>'
    ).encode()


def cut(data: str) -> str:
    """One cut line."""
    return f'<path d="{data}" fill="none" stroke="#f00" stroke-width=".25"/>'


def curves(count: int = 5_000) -> bytes:
    """Cubic cut lines thrown over the sheet."""
    chance = random.Random(1)  # noqa: S311 -- shapes, not secrets
    return page("".join(cut("M{} {}C{} {} {} {} {} {}".format(*_thrown(chance, 8))) for _ in range(count)))


def straight_lines(count: int = 5_000) -> bytes:
    """Straight cut lines thrown over the sheet."""
    chance = random.Random(2)  # noqa: S311 -- shapes, not secrets
    return page("".join(cut("M{} {}L{} {}".format(*_thrown(chance, 4))) for _ in range(count)))


def star(count: int = 5_000) -> bytes:
    """Straight cut lines through one point."""
    turns = (math.pi * row / count for row in range(count))
    ends = ((400 * math.cos(turn), 400 * math.sin(turn)) for turn in turns)
    return page("".join(cut(f"M{500 - x:.4f} {500 - y:.4f}L{500 + x:.4f} {500 + y:.4f}") for x, y in ends))


def touching_squares(side: int = 100) -> bytes:
    """Squares that share all their edges."""
    return page("".join(cut(f"M{9 * x} {9 * y}h9v9h-9z") for y in range(side) for x in range(side)))


def spiral(count: int = 100_000) -> bytes:
    """One cut line round and round."""
    places = ((450 * row / count, 400 * math.pi * row / count) for row in range(count))
    points = (f"{500 + r * math.cos(turn):.4f} {500 + r * math.sin(turn):.4f}" for r, turn in places)
    return page(cut("M" + "L".join(points)))


def tiny_objects(count: int = 200_000) -> bytes:
    """Small printed rectangles, each an object."""
    rows = (divmod(row, 450) for row in range(count))
    body = "".join(f'<path d="M{2 * x + 9} {2 * y + 9}h1v1h-1z" fill="#123"/>' for y, x in rows)
    return page(body).replace(b"kiss cut", b"print")


def texts(count: int = 20_000) -> bytes:
    """Lines of live text."""
    body = "".join(
        f'<text x="{row % 100 * 9}" y="{row // 100 * 4 + 9}">Ferry {row}</text>' for row in range(count)
    )
    return page(body).replace(b"kiss cut", b"print")


def uses(count: int = 50_000) -> bytes:
    """One small shape placed many times."""
    body = '<defs><path id="gull" d="M0 0h1v1z" fill="#123"/></defs>'
    body += "".join(
        f'<use xlink:href="#gull" x="{row % 300 * 3}" y="{row // 300 * 3}"/>' for row in range(count)
    )
    return page(body).replace(b"kiss cut", b"print")


def many_pages(count: int = 2_000) -> bytes:
    """A PDF of many pages with little on each."""
    kids = {
        5 + 2 * row: f"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 283 283] /Contents {6 + 2 * row} 0 R >>"
        for row in range(count)
    }
    contents = {6 + 2 * row: _stream(f"0.2 0.3 0.4 rg {row % 90 + 20} 40 90 80 re f") for row in range(count)}
    return _written(
        {
            1: "<< /Type /Catalog /Pages 2 0 R >>",
            2: f"<< /Type /Pages /Kids [{' '.join(f'{number} 0 R' for number in kids)}] /Count {count} >>",
            **kids,
            **contents,
        }
    )


def nested_clips(count: int = 5_000) -> bytes:
    """Clips within clips, each with something drawn in it."""
    return _one_page(
        "".join(f"{row % 97} {row % 89} 700 700 re W n 10 10 500 500 re f " for row in range(count))
    )


def round_clips(count: int = 3_000) -> bytes:
    """The same with clips that are no rectangles."""
    disc = "{0} 400 m {0} 600 {1} 800 400 800 c 800 800 800 0 400 0 c 100 0 {0} 200 {0} 400 c h W n 10 10 500 500 re f "
    return _one_page("".join(disc.format(row % 97, row % 89 + 100) for row in range(count)))


def long_dashed_strokes(count: int = 2_000) -> bytes:
    """Strokes of very many dashes."""
    return _one_page(
        "[.01 .01] 0 d .5 w " + "".join(f"0 {row / 4} m 800 {row / 4 + 9} l S " for row in range(count))
    )


def hexed_names(count: int = 300_000) -> bytes:
    """Names spelt in escapes."""
    return _one_page("/#41#42#43#44 gs " * count)


def hexed_colours(count: int = 300_000) -> bytes:
    """Names spelt in escapes that stand for something, each different."""
    return _one_page("".join(f"/#43#6F{row:06d}#41 MP " for row in range(count)))


def large_forms(count: int = 100) -> bytes:
    """Forms of many operators, each drawn once."""
    content = "0 0 5 5 re f 1 0 0 1 1 1 cm " * 5_000
    forms = {
        5 + row: _stream(content, "/Type /XObject /Subtype /Form /BBox [0 0 800 800]") for row in range(count)
    }
    names = " ".join(f"/F{row} {5 + row} 0 R" for row in range(count))
    return _one_page(" ".join(f"/F{row} Do" for row in range(count)), f"/XObject << {names} >>", forms)


def form_matrices(count: int = 200_000) -> bytes:
    """A form drawn through a great many matrices."""
    form = {5: _stream("0 0 5 5 re f", "/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Matrix [2 0 0 2 1 1]")}
    return _one_page(
        "".join(f"q 1 0 0 1 {row % 700} {row % 800} cm /F Do Q " for row in range(count)),
        "/XObject << /F 5 0 R >>",
        form,
    )


def filled_rectangles(count: int = 400_000) -> bytes:
    """Rectangles, each an object."""
    return _one_page("".join(f"{row % 700} {row // 700} 1 1 re f " for row in range(count)))


FILES: dict[str, Callable[[], bytes]] = {
    "curves.svg": curves,
    "lines.svg": straight_lines,
    "star.svg": star,
    "squares.svg": touching_squares,
    "spiral.svg": spiral,
    "tiny.svg": tiny_objects,
    "texts.svg": texts,
    "uses.svg": uses,
    "pages.pdf": many_pages,
    "clips.pdf": nested_clips,
    "round-clips.pdf": round_clips,
    "dashes.pdf": long_dashed_strokes,
    "names.pdf": hexed_names,
    "names-all.pdf": hexed_colours,
    "forms.pdf": large_forms,
    "matrices.pdf": form_matrices,
    "rectangles.pdf": filled_rectangles,
}


def _thrown(chance: random.Random, count: int) -> Iterator[str]:
    return (f"{chance.uniform(0, PAGE):.3f}" for _ in range(count))


def _one_page(content: str, resources: str = "", others: dict[int, bytes] | None = None) -> bytes:
    return _written(
        {
            1: "<< /Type /Catalog /Pages 2 0 R >>",
            2: "<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
            3: f"<< /Type /Page /Parent 2 0 R /Contents 4 0 R /Resources << {resources} >> /MediaBox [0 0 800 800] >>",
            4: _stream(content),
            **(others or {}),
        }
    )


def _stream(data: str, entries: str = "") -> bytes:
    sys.path.insert(0, str(Path(__file__).parents[1] / "readers" / "pdf"))
    from small_pdfs import stream

    return stream(data, entries)


def _written(objects: dict[int, bytes | str]) -> bytes:
    from small_pdfs import written

    return written(objects)


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("names", nargs="*", choices=[*FILES, []], help="files to make (default: all)")
    parser.add_argument("--into", type=Path, help="folder that keeps them (default: none does)")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        folder: Path = asked.into or Path(scratch)
        folder.mkdir(parents=True, exist_ok=True)
        for name in asked.names or FILES:
            (folder / name).write_bytes(FILES[name]())
            measured = subprocess.run(
                [sys.executable, "-c", MEASURE, str(folder / name)],
                stdout=subprocess.PIPE,
                check=True,
                text=True,
            )
            print(f"{name:16} {measured.stdout.strip()}", flush=True)


if __name__ == "__main__":
    main()
