"""An audit on the workers of a cluster: the same answers, and none lost with a worker."""

from __future__ import annotations

import json
import os
import signal
import threading
from collections import Counter
from pathlib import Path

import distributed
import pytest
from audit_archive import audit, clean, faulty, with_trouble, written

from preflight.audit.cluster import Cluster
from preflight.audit.messages import Setup, Task

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
