"""The process of the command, also by ``python -m preflight``: what the interpreter and numpy make ready, then the commands."""

from __future__ import annotations

import gc
import os

__all__ = ["run"]

YOUNG_OBJECTS = 200_000
"""How many new objects bring on a search for unreachable cycles. Python's own 700 makes it search some hundred times
while modules load and a file is read, which leave hardly any; on a small file that was a tenth of the time."""

BLAS_THREADS = "1"
"""Threads that numpy's linear algebra starts as it is imported, one for each core unless told otherwise. Ours is all of a few rows and
columns, and starting them took a tenth of the time in which a small file is checked."""


def run() -> None:
    """Run the command line of this process, and end with its exit code."""
    os.environ.setdefault("OPENBLAS_NUM_THREADS", BLAS_THREADS)
    gc.set_threshold(YOUNG_OBJECTS, 20, 20)
    from preflight.cli import main

    try:
        main(prog_name="preflight")
    except OSError as error:
        if error.filename is not None:  # an open stream that fails names no file
            raise
        from preflight.output import fail_stdout

        # The help and the version, which click writes itself.
        fail_stdout(error)
    finally:
        # The process ends here: nothing is gained by searching all that it holds once more on the way out.
        gc.freeze()


if __name__ == "__main__":
    run()
