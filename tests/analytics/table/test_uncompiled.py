"""The kernels run uncompiled too, and say the same."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from analytics.table.shots import Strike, play_stroke

ROOT = Path(__file__).resolve().parents[3]
LAYOUT = {"white": [1.5, 2.0], "yellow": [2.6, 5.5], "red": [2.0, 6.0]}
STRIKES = [(82.0, 3.0, 0.3, 0.1), (140.0, 4.5, -0.2, -0.2), (10.0, 2.0, 0.0, 0.0)]

SCRIPT = """
import json, sys
from numba import config
from analytics.table.shots import Strike, play_stroke
assert config.DISABLE_JIT
layout, strikes = json.load(sys.stdin)
for one in strikes:
    shot = play_stroke(layout, "white", Strike(*one))
    print(json.dumps([[met.t, *met.at] for met in shot.contacts[:4]]))
"""


def test_uncompiled_kernels_meet_the_same_things():
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT],
        cwd=ROOT,
        env={**os.environ, "NUMBA_DISABLE_JIT": "1"},
        input=json.dumps([LAYOUT, STRIKES]),
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    for line, one in zip(done.stdout.splitlines(), STRIKES, strict=True):
        shot = play_stroke(LAYOUT, "white", Strike(*one))
        assert shot.contacts
        for plain, met in zip(json.loads(line), shot.contacts, strict=False):
            # The compiler may fuse a multiplication with an addition: equal but for rounding.
            assert plain == pytest.approx([met.t, *met.at], abs=1e-9)
