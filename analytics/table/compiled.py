"""The one place that knows how kernels are compiled.

No fast-math: an answer must not depend on the build. With `NUMBA_DISABLE_JIT=1` the same
functions run uncompiled.
"""

from __future__ import annotations

from numba import njit

kernel = njit(cache=True, nogil=True, fastmath=False)
