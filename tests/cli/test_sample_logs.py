import csv
import io

import pytest

from finplan.air.logger import read_air_log
from tests.tools.sample_air import AS_OF, HOURS, SAMPLES, SPACES, text_of


@pytest.mark.parametrize("space", SPACES, ids=lambda space: space.file)
def test_the_shipped_log_is_what_its_generator_writes(space):
    assert (SAMPLES / space.file).read_text(encoding="utf-8") == text_of(space)


@pytest.mark.parametrize("space", SPACES, ids=lambda space: space.file)
def test_the_log_is_hourly_whole_and_ends_at_the_sample_s_hour(space):
    log = read_air_log(text_of(space), space.file, "", AS_OF)
    assert len(log.readings) == HOURS
    assert log.readings[-1].at == AS_OF
    assert log.gaps == ()
    assert log.warnings == ()


def test_nights_in_the_shed_are_cold_and_damper_than_the_afternoons():
    rows = list(csv.DictReader(io.StringIO(text_of(SPACES[0]))))
    night = [row for row in rows if row["time (UTC)"].endswith(" 04:00")]
    day = [row for row in rows if row["time (UTC)"].endswith(" 13:00")]
    for after, before in zip(night, day, strict=False):
        assert float(after["temperature (°C)"]) < float(before["temperature (°C)"])
        assert float(after["relative humidity (%)"]) > float(before["relative humidity (%)"])
    assert min(float(row["temperature (°C)"]) for row in night) < 7
