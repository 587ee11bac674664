"""What each web process does once it runs; gunicorn reads this module."""

import subprocess
import sys
import threading
import time

from django.conf import settings

from analytics import kernels

# A worker that ended by itself is started anew after so long [s].
PAUSE = 20.0


def post_worker_init(worker: object) -> None:
    """Let the server answer at once; prepare the simulator and start a worker meanwhile."""
    threading.Thread(target=work_beside, name="beside", daemon=True).start()


def work_beside() -> None:
    """Prepare the simulator, then keep a worker for the background, which needs it too."""
    prepare_simulator()
    while settings.WORKER and run_worker():
        time.sleep(PAUSE)


def run_worker() -> bool:
    """Run a worker until it ends; False where none can be started.

    It holds the other end of a pipe, and ends when this process does, however that happens.
    """
    try:
        worker = subprocess.Popen(
            [sys.executable, "manage.py", "worker", "--beside"],
            cwd=settings.BASE_DIR,
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C stops the server, and the pipe tells it
        )
    except OSError as fault:
        print(f"Nothing is done in the background: {fault}", file=sys.stderr)
        return False
    worker.wait()
    return True


def prepare_simulator() -> None:
    """Compile the simulator, then load it, so that the first stroke and the first search need not wait.

    Compiling takes its time and happens in a process beside this one, at lowered priority;
    loading what was compiled is quick. Where it fails the command says why, and the site
    goes on without it.
    """
    try:
        done = subprocess.run(
            [sys.executable, "manage.py", "warm_kernels", "--gently"],
            cwd=settings.BASE_DIR,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C stops the server, and this ends quietly by itself
        )
    except OSError as fault:
        print(f"The simulator is prepared at the first stroke instead: {fault}", file=sys.stderr)
        return
    if done.returncode == 0:
        kernels.do_warm_search()
