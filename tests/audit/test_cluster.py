"""An audit on the workers of a cluster: the same answers, and none lost with a worker."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
import uuid
from collections import Counter
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import partial
from pathlib import Path

import distributed
import psutil
import pytest
from audit_archive import audit, clean, faulty, with_trouble, written

from preflight.audit.cluster import Cluster
from preflight.audit.messages import Setup, Task
from preflight.audit.worker import WorkerError

pytestmark = pytest.mark.filterwarnings("ignore")  # of dask's, which close sockets late


def test_a_cluster_gives_the_same_answers(tmp_path: Path) -> None:
    files: dict[str, str | bytes] = {f"{n}.svg": faulty() if n % 2 else clean() for n in range(8)}
    root = with_trouble(written(tmp_path / "archive", files | {"die.svg": clean("die")}))
    here = audit(root, "--into", tmp_path / "here", "--format", "json")
    there = audit(root, "--into", tmp_path / "there", "--format", "json", "--cluster", "local:2")
    assert (there.returncode, json.loads(there.stdout)) == (here.returncode, json.loads(here.stdout)), (
        there.stderr
    )
    assert (tmp_path / "there/findings.jsonl").read_bytes() == (tmp_path / "here/findings.jsonl").read_bytes()


@pytest.mark.skipif(os.name == "nt", reason="signals")
def test_a_worker_that_is_killed_loses_nothing(tmp_path: Path) -> None:
    root = written(tmp_path, {f"{n}.svg": faulty() for n in range(40)})
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as local:
        pids = [one["pid"] if isinstance(one, dict) else one.pid for one in local.workers.values()]
        setup = Setup(str(root), str(root))
        seen: Counter[str] = Counter()
        with Cluster(setup, local.scheduler_address, 60) as cluster:
            for answer in cluster.answers([Task(f"{n}.svg", "") for n in range(40)]):
                seen[answer.path] += 1
                assert answer.counts[0] == 1
                if len(seen) == 5:
                    threading.Thread(target=os.kill, args=(pids[0], signal.SIGKILL)).start()
    assert seen == Counter({f"{n}.svg": 1 for n in range(40)})


def children(pids: Iterable[int]) -> list[str]:
    """The processes that check files, started by these."""
    found = []
    for one in [child for pid in pids for child in psutil.Process(pid).children(recursive=True)]:
        with suppress(psutil.Error):
            told = "dead" if one.status() == "zombie" else " ".join(one.cmdline())
            found += [told] if told == "dead" or "preflight.audit.process" in told else []
    return found


@pytest.mark.parametrize("early", [False, True])
def test_no_process_stays_on_a_cluster_that_goes_on(early: bool, tmp_path: Path) -> None:
    """Also where the audit is left in the middle of files, and of more on their way."""
    names = ["a.svg", *(f"{n}.svg" for n in range(9))]
    files: dict[str, str | bytes] = {name: clean("sleep" if early else "") for name in names}
    with_trouble(written(tmp_path, files | {"a.svg": faulty()}))
    setup = Setup(str(tmp_path), str(tmp_path))
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, silence_logs=50
    ) as local:
        pids = [one.pid for one in local.workers.values()]
        for _ in range(2):  # the next audit is as good as the first
            with Cluster(setup, local.scheduler_address, 60) as cluster:
                running = cluster.answers([Task(name, "") for name in names])
                assert next(running).path
                assert children(pids)
                if early:
                    running.close()  # type: ignore[attr-defined]
                else:
                    assert len(list(running)) == 9
            assert not children(pids)


def test_a_cluster_without_workers_is_not_waited_for_for_ever(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("preflight.audit.cluster._ALONE_SECONDS", 1.0)
    monkeypatch.setattr("preflight.audit.cluster._LOOK_SECONDS", 0.2)
    written(tmp_path, {"a.svg": clean()})
    with (
        distributed.LocalCluster(n_workers=0, dashboard_address=None, silence_logs=50) as local,
        Cluster(Setup(str(tmp_path), str(tmp_path)), local.scheduler_address, 60) as cluster,
        pytest.raises(WorkerError, match="has no worker"),
    ):
        list(cluster.answers([Task("a.svg", "")]))


def marked(mark: str) -> list[str]:
    """The commands of processes with this word in their environment: of an audit, and of all that it started."""
    found = []
    for one in psutil.process_iter():
        with suppress(psutil.Error):
            if one.environ().get("FERRY") == mark and one.status() != "zombie":
                found.append(" ".join(one.cmdline()))
    return found


@pytest.mark.skipif(os.name == "nt", reason="signals")
@pytest.mark.parametrize("ended", [None, signal.SIGINT, signal.SIGKILL])
def test_no_process_outlives_an_audit_with_a_cluster_of_its_own(
    ended: signal.Signals | None, tmp_path: Path
) -> None:
    """Ctrl-C goes to all processes of a terminal at once, and the audit alone speaks of it."""
    files: dict[str, str | bytes] = {"a.svg": clean("sleep" if ended else ""), "b.svg": clean()}
    root = with_trouble(written(tmp_path / "archive", files))
    mark = uuid.uuid4().hex
    words = ["audit", str(root), "--into", str(tmp_path / "kept"), "--cluster", "local:2"]
    heeding = partial(signal.signal, signal.SIGINT, signal.SIG_DFL)
    process = subprocess.Popen(
        [sys.executable, "-m", "preflight", *words],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        env={**os.environ, "FERRY": mark},
        start_new_session=True,
        preexec_fn=heeding,
    )
    if ended is not None:
        wait_until(lambda: sum("preflight.audit.process" in one for one in marked(mark)) == 2)
        if ended is signal.SIGINT:
            os.killpg(process.pid, ended)
        else:
            process.kill()
    _, told = process.communicate(timeout=90)
    assert process.returncode == (0 if ended is None else 130 if ended is signal.SIGINT else -ended)
    assert b"Traceback" not in told
    wait_until(lambda: not marked(mark))


def wait_until(true: Callable[[], bool]) -> None:
    for _ in range(600):
        if true():
            return
        time.sleep(0.1)
    pytest.fail("that did not come about")
