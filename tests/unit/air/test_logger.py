"""Air logs as loggers write them, and as people break them."""

from __future__ import annotations

import datetime as dt

import pytest

from finplan.air.logger import read_air_log
from finplan.trade.errors import BadInput

NOW = dt.datetime(2026, 11, 1, tzinfo=dt.UTC)


def read(text: str | bytes, zone: str = "Europe/Oslo", now: dt.datetime | None = NOW):
    return read_air_log(text, "shed.csv", zone, now)


def values(log):
    return [
        (r.at.strftime("%m-%dT%H:%M"), r.temperature_c, r.humidity_percent) for r in log.readings
    ]


PLAIN = "time,temperature (°C),humidity (%)\n2026-10-03 18:00,12.5,70\n2026-10-03 19:00,12.0,72\n"


def test_a_plain_log_in_local_time():
    log = read(PLAIN)
    assert values(log) == [("10-03T16:00", 12.5, 70.0), ("10-03T17:00", 12.0, 72.0)]
    assert log.gaps == () and log.warnings == ()


@pytest.mark.parametrize(
    "text",
    [
        "Date/Time;Temp. [°C];RH [%]\n2026-10-03 18:00;12,5;70\n2026-10-03 19:00;12,0;72",
        "datetime\ttemperature_c\thumidity_percent\n2026-10-03T18:00\t12.5\t70\n2026-10-03T19:00\t12\t72",
        "# a logger of ours\n\nDate,Time,T (C),Rel. humidity\n"
        "2026-10-03,18:00,12.5 °C,70 %\n2026-10-03,19:00,12,72\n",
        'no,timestamp,temp (°C),dew point temp (°C),RH\n1,2026-10-03T16:00:00Z,"12,5",7,70\n'
        "2,2026-10-03T19:00:00+02:00,12,7,72\n",
        "Time (UTC),Temperature °F,Humidity\n2026-10-03 16:00,54.5,70\n2026-10-03 17:00,53.6,72\n",
        "time (UTC+2),temperature (K),humidity\n2026/10/03 18:00,285.65,70\n"
        "2026-10-03 19:00,285.15,72\n",
        "Datum;Zeit;Temperatur (°C);Luftfeuchte (%)\n03.10.2026;18:00;12,5;70\n"
        "03.10.2026;19:00;12,0;72",
        "time,temperature (°C),humidity\n10/03/2026 6:00 PM,12.5,70\n10/13/2026 07:00 PM,12,72\n",
    ],
)
def test_other_ways_to_write_the_same(text):
    got = values(read(text))
    assert got[0][0] == "10-03T16:00"
    assert [(round(t, 6), h) for _, t, h in got] == [(12.5, 70.0), (12.0, 72.0)]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_encodings(encoding):
    log = read(PLAIN.encode(encoding))
    assert len(log.readings) == 2
    assert bool(log.warnings) == (encoding == "cp1252")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("2026-10-03 18:00,300,70", r"shed.csv, line 2, column 'temperature \(°C\)': 300 °C"),
        ("2026-10-03 18:00,12,140", r"line 2, column 'humidity \(%\)': 140 %"),
        ("2026-10-03 18:00,12,-1", r"line 2, column 'humidity \(%\)': -1 %"),
        ("2026-10-03 18:00,warm,70", "'warm' is no number"),
        ("2026-02-30 18:00,12,70", "'2026-02-30 18:00' is no date and time"),
        ("2026-10-03,12,70", "is no date and time"),
        ("03/04/2026 18:00,12,70", "day 3 of month 4 or day 4 of month 3"),
        ("2026-10-03 18:00,12", "line 2.*needs one for each"),
        ("2026-12-24 18:00,12,70", "lies in the future"),
        ("2026-03-29 02:30,12,70", "does not exist in Europe/Oslo"),
        ("2026-10-03 18:00,68,12", "look swapped"),
        ("2026-10-03 18:00,12,0.7", "share of 1"),
        ("2026-10-03 25:00,12,70", "is no date and time"),
        ("2026-10-03 18:00," + "1" * 10_000 + ",70", "far too long"),
        ("", "no readings"),
        ("0001-01-01 00:00,12,70", "no year of a logger"),
        ("9999-12-31 23:59:59-11:00,12,70", "no year of a logger"),
        ("2026-10-03 18:00,1e999,70", "is no number"),
        ("2026-10-03 18:00,inf,70", "is no number"),
    ],
)
def test_bad_rows_name_the_place(row, said):
    with pytest.raises(BadInput, match=said) as raised:
        read(f"time,temperature (°C),humidity (%)\n{row}\n")
    assert "\n" not in str(raised.value)
    assert len(str(raised.value)) < 300


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "no header"),
        ("time (UTC+25),temp,rh\n", "no place is \\+25 hours from UTC"),
        ("time,temp " + "x" * 9999 + ",temp,rh\n", "two columns of temperature"),
        ("a,b,c\n1,2,3\n", "no header"),
        ("time,temperature\n2026-10-03 18:00,3\n", "no header"),
        ("time,temp 1,temp 2,rh\n", "two columns of temperature"),
        (b"\x00\x01\x02", "not a text file"),
        ("date,time,timestamp,temp,rh\n", "columns of time"),
        ("time,temp (°C),rh\n13/10/2026 10:00,1,50\n10/13/2026 10:00,1,50\n", "some dates"),
    ],
)
def test_bad_files(text, said):
    with pytest.raises(BadInput, match=said) as raised:
        read(text)
    assert len(str(raised.value)) < 300


def test_local_times_need_a_zone():
    with pytest.raises(BadInput, match="no time zone"):
        read(PLAIN, zone="")
    with pytest.raises(BadInput, match="is no time zone"):
        read(PLAIN, zone="Mars/Olympus")


def test_offsets_west_and_of_half_hours():
    for header, hour in (("UTC-3:30", "21:30"), ("GMT +5", "13:00"), ("utc", "18:00")):
        log = read(f"time ({header}),temp (°C),rh\n2026-10-03 18:00,12,70\n")
        assert log.readings[0].at.strftime("%H:%M") == hour


def test_a_gap_is_flagged():
    rows = "".join(f"2026-10-03 {h:02}:00,12,70\n" for h in (1, 2, 3, 4, 12, 13))
    log = read("time,temp (°C),rh\n" + rows)
    assert [(g.start.hour, g.end.hour) for g in log.gaps] == [(2, 10)]
    assert "no readings for 8.0 h" in log.warnings[0]


def test_missing_values_are_left_out_with_a_word():
    log = read("time,temp (°C),rh\n2026-10-03 01:00,12,70\n2026-10-03 02:00,---,\n")
    assert len(log.readings) == 1
    assert "1 row without values" in log.warnings[0]


def test_of_two_rows_at_one_instant_the_later_counts_and_order_is_made():
    log = read(
        "time (UTC),temp (°C),rh\n2026-10-03 02:00,9,60\n"
        "2026-10-03 01:00,12,70\n2026-10-03 02:00,10,61\n"
    )
    assert values(log) == [("10-03T01:00", 12.0, 70.0), ("10-03T02:00", 10.0, 61.0)]
    assert "given twice" in log.warnings[0]


def test_the_hour_that_comes_twice_counts_twice():
    stamps = ["01:30", "02:00", "02:30", "02:00", "02:30", "03:00"]
    log = read("time,temp (°C),rh\n" + "".join(f"2026-10-25 {s},12,70\n" for s in stamps))
    hours = [r.at.strftime("%H:%M") for r in log.readings]
    assert hours == ["23:30", "00:00", "00:30", "01:00", "01:30", "02:00"]
    assert log.warnings == ()


def test_a_sensor_a_little_over_saturation_counts_as_saturated():
    log = read("time,temp (°C),rh\n2026-10-03 01:00,12,101.2\n")
    assert log.readings[0].humidity_percent == 100.0
    assert "above 100 %" in log.warnings[0]


def test_a_temperature_without_unit_is_celsius_and_said():
    log = read("time,temperature,humidity\n2026-10-03 01:00,12,70\n")
    assert "no unit" in log.warnings[0]


@pytest.mark.parametrize(
    ("time", "header"),
    [
        ("2026-10-03 6:00", "time"),
        ("2026/10/3 6:00", "time"),
        ("2026.10.03 06:00:00", "time"),
        ("2026-10-03 6:00:00 AM", "time"),
        ("3 Oct 2026 06:00", "time"),
        ("3-Oct-2026 06:00", "time"),
        ('"Oct 3, 2026 6:00 a.m."', "time"),
        ("2026/10/3 6:00", "日時"),
        ("2026-10-03 04:00:00 UTC", "time"),
    ],
)
def test_times_of_many_loggers(time, header):
    log = read(f"{header},温度(℃),湿度(%)\n{time},12.5,70\n")
    assert values(log) == [("10-03T04:00", 12.5, 70.0)]


def test_dates_in_the_order_told():
    text = "time,temp (°C),rh\n10/03/26 6:00,12,70\n"
    for month_first, there in ((True, "10-03T04:00"), (False, "03-10T05:00")):
        log = read_air_log(text, "shed.csv", "Europe/Oslo", month_first=month_first)
        assert values(log) == [(there, 12.0, 70.0)]
    with pytest.raises(BadInput, match=r"a year of two digits: .* --dates"):
        read(text)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("time,temp,rh\n2026-10-03 6:00,54.5 °F,70\n", 12.5),
        ("time,temp,rh\n2026-10-03 6:00,12.5℃,70\n", 12.5),
        ("time,temp ℉,rh\n2026-10-03 6:00,54.5,70\n", 12.5),
        ("time,temp_c,temp_f,rh\n2026-10-03 6:00,12.5,54.5,70\n", 12.5),
    ],
)
def test_units_of_the_temperature(text, celsius):
    log = read(text)
    assert log.readings[0].temperature_c == pytest.approx(celsius)
    assert not log.warnings


def test_another_unit_than_the_header_s_is_refused():
    with pytest.raises(BadInput, match="another unit than its header"):
        read("time,temp (°C),rh\n2026-10-03 6:00,54.5 °F,70\n")
    with pytest.raises(BadInput, match="with no unit: name it"):
        read("time,temp,rh\n2026-10-03 6:00,64,70\n")


def test_newest_first_through_the_hour_that_comes_twice():
    times = ("00:30", "01:30", "02:00", "02:30", "02:00", "02:30", "03:00")
    rows = [f"2026-10-25 {time},12,70" for time in times]
    header = "time,temp (°C),rh"
    forward, backward = (read("\n".join([header, *some])) for some in (rows, rows[::-1]))
    assert values(forward) == values(backward)
    assert len(forward.readings) == len(times)


def test_japanese_encoding():
    log = read("日時,温度(℃),湿度(%)\n2026/10/3 6:00,12.5,70\n".encode("cp932"))
    assert len(log.readings) == 1
    assert "read as Japanese" in log.warnings[0]
