"""The benchmark's archive is what the benchmark says it is."""

from __future__ import annotations

from pathlib import Path

from customer_archive import HOSTILE, write_archive

from preflight.engine import check_file


def test_every_file_is_in_order_but_one_in_a_hundred(tmp_path: Path) -> None:
    write_archive(tmp_path, 100 * len(HOSTILE))
    files = sorted(path for path in tmp_path.rglob("*") if path.is_file())
    assert len(files) == 100 * len(HOSTILE)
    assert len({path.read_bytes() for path in files}) >= len(files) - len(HOSTILE)
    for path in files[:20]:
        report = check_file(path)
        assert (report.status, [one.rule for one in report.findings()]) == ("checked", []), path
    hostile = [check_file(path) for number, path in enumerate(files) if number % 100 == 50]
    assert all(
        one.status == "unreadable" or one.pages[0].not_checked or list(one.findings()) for one in hostile
    )
    assert sum(one.status == "unreadable" for one in hostile) >= 4


def test_the_same_archive_each_time(tmp_path: Path) -> None:
    for name in ("a", "b"):
        write_archive(tmp_path / name, 60)
    first, second = ([p.read_bytes() for p in sorted((tmp_path / n).rglob("*.*"))] for n in ("a", "b"))
    assert first == second
