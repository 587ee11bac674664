"""What each web process does once it runs; gunicorn reads this module."""

import subprocess
import sys
import threading

from django.conf import settings

from analytics import kernels


def post_worker_init(worker: object) -> None:
    """Let the server answer at once, and prepare the simulator meanwhile."""
    threading.Thread(target=prepare_simulator, name="simulator", daemon=True).start()


def prepare_simulator() -> None:
    """Compile the simulator, then load it, so that the first stroke tried need not wait.

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
        kernels.do_warm()
