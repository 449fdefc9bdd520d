"""Processes that check, and die of it: each takes down its own file and no other."""

from __future__ import annotations

import os
import sys
import threading
import time
from pathlib import Path

import pytest
from audit_archive import TROUBLE, clean, faulty, with_trouble, written

from preflight.audit.messages import Answer, Setup, Task
from preflight.audit.pool import Pool
from preflight.audit.worker import Worker, WorkerError

LINUX = sys.platform.startswith("linux")


def answers(root: Path, seconds: float = 60, number: int = 2, memory: int = 10**9) -> dict[str, Answer]:
    setup = Setup(str(root), str(root), memory=memory)
    tasks = [Task(path.name, "") for path in sorted(root.glob("*.svg"))]
    with Pool(setup, number, seconds) as pool:
        found = list(pool.answers(tasks))
        assert pool.memory_held == LINUX
    assert len(found) == len(tasks)
    return {one.path: one for one in found}


def test_each_file_has_its_own_answer(tmp_path: Path) -> None:
    written(tmp_path, {f"{number}.svg": faulty() if number % 3 else clean() for number in range(9)})
    found = answers(tmp_path)
    assert {path: one.counts[0] for path, one in found.items()} == {
        f"{number}.svg": int(number % 3 > 0) for number in range(9)
    }
    assert [one.rule for one in found["1.svg"].findings] == ["contour-open"]
    assert found["1.svg"].picture is not None
    assert found["0.svg"].picture is None


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_a_process_that_dies_takes_down_its_file_only(tmp_path: Path) -> None:
    files = {
        "1.svg": clean(),
        "2.svg": clean("die"),
        "3.svg": faulty(),
        "4.svg": clean("abort"),
        "5.svg": clean("print"),
    }
    with_trouble(written(tmp_path, files))
    found = answers(tmp_path)
    assert {path: one.status for path, one in found.items()} == {
        "1.svg": "checked",
        "2.svg": "unreadable",
        "3.svg": "checked",
        "4.svg": "unreadable",
        "5.svg": "checked",
    }
    assert "exit code 3" in (found["2.svg"].reason or "")
    assert found["2.svg"].by_limit == "1000 MB"
    assert "SIGABRT" in (found["4.svg"].reason or "")


def test_a_file_that_takes_too_long_is_left(tmp_path: Path) -> None:
    with_trouble(written(tmp_path, {"1.svg": clean("sleep"), "2.svg": faulty()}))
    found = answers(tmp_path, seconds=4, number=1)
    assert found["1.svg"].status == "unreadable"
    assert "longer than 4 s" in (found["1.svg"].reason or "")
    assert found["1.svg"].by_limit == "4 s"
    assert found["2.svg"].counts[0] == 1


@pytest.mark.skipif(not LINUX, reason="only Linux holds a process to a limit of memory")
def test_a_file_that_takes_too_much_memory_is_left(tmp_path: Path) -> None:
    with_trouble(written(tmp_path, {"1.svg": clean("eat"), "2.svg": faulty()}))
    found = answers(tmp_path, number=1)
    assert found["1.svg"].status == "unreadable"
    assert "memory" in (found["1.svg"].reason or "")
    assert found["1.svg"].by_limit == "1000 MB"
    assert found["2.svg"].counts[0] == 1


def test_a_process_that_somebody_ends_is_no_fault_of_the_file(tmp_path: Path) -> None:
    written(tmp_path, {"1.svg": faulty()})
    worker = Worker(Setup(str(tmp_path), str(tmp_path)), 60)
    worker.answer(Task("1.svg", ""))
    process = worker._process
    assert process is not None
    process.kill()
    process.wait()
    assert worker.answer(Task("1.svg", "")).counts[0] == 1
    worker.close()


def test_a_profile_that_cannot_be_used_ends_the_work(tmp_path: Path) -> None:
    written(tmp_path, {"1.svg": clean(), "preflight.toml": "[job]\nscal = 2\n"})
    with pytest.raises(WorkerError, match="scal"):
        answers(tmp_path)


STRANGE = 'raise SystemExit("strange code was run")\n'


@pytest.mark.parametrize("here", [".", "archive"])
@pytest.mark.parametrize("entry", [".", "", "archive", "../archive"])
def test_no_module_is_taken_from_the_archive_or_the_current_folder(
    here: str, entry: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A relative folder of PYTHONPATH is another one for a process that stands in the archive."""
    root = written(tmp_path / "archive", {"a.svg": faulty()})
    for folder in (tmp_path, root, root / "deep", root / "archive"):
        written(folder, dict.fromkeys(("msgspec.py", "colorsys.py", "numpy.py", "lxml.py"), STRANGE))
    before = os.environ.get("PYTHONPATH", "")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join([entry, *filter(None, [before])]))
    monkeypatch.chdir(tmp_path / here)
    worker = Worker(Setup(str(root), str(root)), 60)
    assert worker.answer(Task("a.svg", "")).counts[0] == 1
    worker.close()


def test_modules_of_other_folders_are_found_as_the_audit_itself_finds_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    profile = '[plugins]\nrule_files = ["trouble.py"]\n'
    root = written(tmp_path / "archive", {"a.svg": faulty(), "preflight.toml": profile})
    written(root, {"trouble.py": TROUBLE.replace("import os, time", "import harbour")})
    written(tmp_path / "modules", {"harbour.py": ""})
    before = os.environ.get("PYTHONPATH", "")
    monkeypatch.setenv("PYTHONPATH", os.pathsep.join(["modules", *filter(None, [before])]))
    monkeypatch.chdir(tmp_path)
    worker = Worker(Setup(str(root), str(root)), 60)
    assert worker.answer(Task("a.svg", "")).counts[0] == 1
    worker.close()


def test_work_that_is_left_early_leaves_no_process(tmp_path: Path) -> None:
    with_trouble(written(tmp_path, {"1.svg": clean(), **{f"{n}.svg": clean("sleep") for n in range(2, 6)}}))
    pool = Pool(Setup(str(tmp_path), str(tmp_path)), 2, 600)
    running = pool.answers([Task(f"{n}.svg", "") for n in range(1, 6)])
    next(running)
    processes = [worker._process for worker in pool._workers if worker._process is not None]
    assert processes
    running.close()  # type: ignore[attr-defined]
    assert all(process.poll() is not None for process in processes)
    assert threading.active_count() < 10


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_no_process_outlives_the_audit(tmp_path: Path) -> None:
    """However it ends: its input ends with it."""
    with_trouble(written(tmp_path, {"1.svg": clean("sleep")}))
    worker = Worker(Setup(str(tmp_path), str(tmp_path)), 600)

    def ask() -> None:
        with pytest.raises(WorkerError, match="stopped"):
            worker.answer(Task("1.svg", ""))

    thread = threading.Thread(target=ask, daemon=True)
    thread.start()
    for _ in range(600):
        if worker.memory_held is not None:
            break
        time.sleep(0.1)
    process = worker._process
    assert process is not None
    assert process.stdin is not None
    worker._stopped = True  # so that it is not replaced
    process.stdin.close()
    assert process.wait(timeout=30) == 0
    thread.join(timeout=30)
