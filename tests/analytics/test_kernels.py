"""Compiling the simulator ahead of the first stroke, and saying why where it cannot be kept."""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys

import pytest
from django.conf import settings
from django.core.management import CommandError, call_command

from analytics import kernels


def test_command_says_in_one_line_how_long_it_took():
    told = io.StringIO()
    call_command("warm_kernels", stdout=told)
    assert re.fullmatch(r"Preparing the simulator, ready after \d+\.\d s\.\n", told.getvalue())


def test_warming_leaves_nothing_to_compile():
    kernels.do_warm()
    from analytics.table import stroke

    known = len(stroke.play.signatures), len(stroke.strike.signatures)
    shots = kernels.load()
    shots.play_stroke(kernels.LAYOUT, "yellow", shots.Strike(200.0, 5.0))
    assert known == (len(stroke.play.signatures), len(stroke.strike.signatures)) == (1, 1)


def test_where_nothing_can_be_kept_the_loader_tells():
    """The compiler itself, told to keep its work in one folder, which cannot be made."""
    probe = "from analytics import kernels\ntry: kernels.load()\nexcept kernels.NotReady as why: print(why)"
    done = subprocess.run(
        [sys.executable, "-c", probe],
        cwd=settings.BASE_DIR,
        env=os.environ
        | {
            "NUMBA_CACHE_DIR": os.path.join(os.devnull, "kernels"),
            "NUMBA_CACHE_LOCATOR_CLASSES": "UserProvidedCacheLocator",
        },
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert "no locator available" in done.stdout, done.stderr


def test_command_names_the_setting_that_helps(monkeypatch):
    def fail():
        raise kernels.NotReady("no folder")

    monkeypatch.setattr(kernels, "do_warm", fail)
    with pytest.raises(CommandError, match=r"Set NUMBA_CACHE_DIR to a folder .*\(no folder\)"):
        call_command("warm_kernels", stdout=io.StringIO())
