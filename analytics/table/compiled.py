"""The one place that knows how kernels are compiled, and where the result is kept.

No fast-math: an answer must not depend on the build. No reference counts: kernels neither
create arrays nor keep them, and counting took half the time of a stroke. With `NUMBA_DISABLE_JIT=1` the same
functions run uncompiled.

Compiled kernels are kept on disk. A kernel holds what it calls, and the compiler's own cache
only asks whether the file of the outermost has changed; so the place is named after the
contents of all of them, and a new version of one is never answered by an old kernel.
"""

from __future__ import annotations

import os
from hashlib import sha256
from pathlib import Path

from numba import config, njit

_HERE = Path(__file__).parent


def _fingerprint() -> str:
    contents = sha256()
    for source in sorted(_HERE.glob("*.py")):
        contents.update(source.read_bytes())
    return contents.hexdigest()[:16]


# Names the version of the simulator, too: what it predicts depends on nothing else here.
FINGERPRINT = _fingerprint()


def _place() -> Path:
    """Return the folder of the compiled kernels: as told, beside the sources, or the user's own."""
    told = os.environ.get("NUMBA_CACHE_DIR")
    if told:
        base = Path(told)
    elif os.access(_HERE, os.W_OK):
        base = _HERE / "__pycache__"
    else:
        base = Path.home() / ".cache" / "cushion-ledger"
    return base / f"kernels-{FINGERPRINT}"


config.CACHE_DIR = str(_place())
kernel = njit(cache=True, nogil=True, fastmath=False, error_model="numpy", _nrt=False)
