"""The published clocks: UMB notice of 17 Dec 2019; before and beside it, federation pages."""

from datetime import date

import pytest

from scoring.rules.clock import CLOCKS, overrun, read, timeouts_for
from scoring.rules.formats import FORMATS


@pytest.mark.parametrize(("distance", "count"), [(25, 3), (30, 3), (35, 3), (40, 4), (50, 4)])
def test_umb_notice_time_outs_by_distance(distance, count):
    assert timeouts_for(CLOCKS["automatic-30"], distance) == count


def test_umb_notice_limit_warning_and_new_limit():
    clock = CLOCKS["automatic-30"]
    fields = clock.for_format(40)
    assert (clock.since, clock.seconds, clock.mode) == (date(2019, 12, 17), 30, "automatic")
    assert not read(fields, 19.9).warn
    assert read(fields, 20).warn
    assert read(fields, 30).over
    assert overrun("automatic", 4).outcome == "timeout"
    assert not read(fields, 59.9, used=1).over
    assert read(fields, 60, used=1).over


def test_federation_pages_forty_seconds_three_extensions():
    clock = CLOCKS["called-40"]
    assert (clock.seconds, clock.mode, timeouts_for(clock, 50)) == (40, "called", 3)


def test_federation_pages_world_teams():
    clock = CLOCKS["world-teams-40"]
    assert (clock.seconds, clock.warning, clock.timeout_seconds, timeouts_for(clock, 15)) == (40, 30, 40, 2)


def test_championship_rules_2014_overrun_without_time_out():
    """The opponent gets the opening position."""
    assert overrun("automatic", 0).outcome == "time"
    assert overrun("automatic", 0).opening


@pytest.mark.parametrize(
    ("preset", "distance"),
    [
        ("championship-knock-out", 50),
        ("championship-knock-out-under-22", 35),
        ("championship-knock-out-ladies", 30),
    ],
)
def test_umb_notice_knock_out_distances_without_equalizing(preset, distance):
    fields = FORMATS[preset].fields
    assert fields["distance"] == [distance, distance]
    assert fields["equalizing"] is False
    assert fields["timeouts"] == timeouts_for(CLOCKS["automatic-30"], distance)
