"""Reading a logger's file: any common form of it, gaps and bad clocks told, slips met with one sentence."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from solarlab import trial
from solarlab._shelf import folder
from solarlab.catalogue import place
from solarlab.sky import instants, sky
from solarlab.sun import Instants
from solarlab.trial import clock_error, read_log, sky_of
from solarlab.trial.light import facing_of
from solarlab.trial.logger import Log
from tests import _logs

ZONE = "Africa/Bamako"
BAMAKO = place("Bamako")
COUNT = 120
WATER = 20.0 + 60.0 * (1.0 - np.exp(-np.arange(COUNT) / 60.0))
AIR = np.full(COUNT, 25.0)
LIGHT = 800.0 + 50.0 * np.sin(np.arange(COUNT) / 20.0)


def written(*, delimiter=",", decimal=".", stamp="%Y-%m-%d %H:%M:%S", fahrenheit=False, heading=None, step=60,
            start="2026-02-10 09:00:00") -> str:  # fmt: skip
    """A log of water, air and light as some logger would write it."""
    times = pd.date_range(start, periods=COUNT, freq=f"{step}s")
    unit = "°F" if fahrenheit else "°C"
    columns = [row * 1.8 + 32.0 if fahrenheit else row for row in (WATER, AIR)] + [LIGHT]
    heading = heading or f"Time|Water ({unit})|Outside air ({unit})|GHI (W/m²)"
    lines = [heading.replace("|", delimiter)]
    for i, now in enumerate(times):
        cells = [f"{row[i]:.2f}".replace(".", decimal) for row in columns]
        lines.append(delimiter.join([now.strftime(stamp), *cells]))
    return "\n".join(lines) + "\n"


def same(log: Log) -> None:
    """The log holds the readings that were written."""
    assert log.temperature("water") == pytest.approx(WATER, abs=0.01)
    assert log.temperature("air") == pytest.approx(AIR, abs=0.01)
    assert log.irradiance == pytest.approx(LIGHT, abs=0.01)
    assert log.plane == "level"
    assert str(log.times.local[0])[:16] == "2026-02-10 09:00"
    assert log.times.step == 60.0


FORMS = {
    "commas": {},
    "semicolons and decimal commas": {"delimiter": ";", "decimal": ","},
    "tabs and °F": {"delimiter": "\t", "fahrenheit": True},
    "bars": {"delimiter": "|"},
    "German dates": {"stamp": "%d.%m.%Y %H:%M:%S", "delimiter": ";", "decimal": ","},
    "letter T": {"stamp": "%Y-%m-%dT%H:%M:%S"},
    "month in letters": {"stamp": "%d %b %Y %H:%M:%S"},
}


@pytest.mark.parametrize("form", FORMS)
def test_every_common_form_reads_the_same(form):
    same(read_log(written(**FORMS[form]), ZONE))


@pytest.mark.parametrize(("stamp", "day_first"), [
    ("%d/%m/%Y %H:%M:%S", True), ("%m/%d/%y %I:%M:%S %p", False), ("%m/%d/%Y %H:%M", False)])  # fmt: skip
def test_day_and_month_are_asked_for_not_guessed(stamp, day_first):
    with pytest.raises(ValueError, match="day/month or month/day; say whether the day comes first"):
        read_log(written(stamp=stamp), ZONE)
    same(read_log(written(stamp=stamp), ZONE, day_first=day_first))


def test_a_day_beyond_the_twelfth_needs_no_asking():
    for stamp in ("%d/%m/%Y %H:%M:%S", "%m/%d/%Y %H:%M:%S"):
        log = read_log(written(stamp=stamp, start="2026-02-13 09:00:00"), ZONE)
        assert str(log.times.local[0])[:10] == "2026-02-13"


def test_clock_times_and_elapsed_seconds_need_their_day():
    clock = written(stamp="%H:%M:%S")
    with pytest.raises(ValueError, match="without a date; state the first day"):
        read_log(clock, ZONE)
    same(read_log(clock, ZONE, date="2026-02-10"))
    lines = written(heading="Elapsed (s)|Water (°C)|Outside air (°C)|GHI (W/m²)").splitlines()
    counted = "\n".join(
        [lines[0], *(f"{60 * i},{line.partition(',')[2]}" for i, line in enumerate(lines[1:]))]
    )
    with pytest.raises(ValueError, match="from its start; state the start"):
        read_log(counted, ZONE)
    same(read_log(counted, ZONE, start="2026-02-10 09:00"))


def test_clock_times_go_on_past_midnight():
    text = written(stamp="%H:%M:%S", start="2026-02-10 23:00:00")
    log = read_log(text, ZONE, date="2026-02-10")
    assert log.times.shape == (COUNT,) and [len(part.times.local) for part in log.days()] == [60, 60]


def test_zoned_stamps_keep_their_moment():
    log = read_log(written(stamp="%Y-%m-%dT%H:%M:%S+03:00"), ZONE)
    assert str(log.times.local[0]) == "2026-02-10 06:00:00+00:00"


def test_bytes_paths_and_other_codings_read_alike(tmp_path):
    text = written()
    path = tmp_path / "day.csv"
    for coding in ("utf-8", "utf-8-sig", "utf-16", "cp1252"):
        path.write_bytes(text.encode(coding))
        assert read_log(path, ZONE).name == "day.csv"
        same(read_log(path.read_bytes(), ZONE))


def test_a_preamble_and_comments_are_passed_over():
    preamble = "# made up\nLogger 7\nSerial;none\n\n"
    same(read_log(preamble + written(), ZONE))


def test_units_are_taken_from_headings_or_asked_for():
    bare = written(heading="Time|T1|T2|Sun")
    with pytest.raises(ValueError, match="no heading names a temperature; say which is water"):
        read_log(bare, ZONE)
    columns = {"water": "T1", "air": "T2"}
    with pytest.raises(ValueError, match="“T1” says neither °C nor °F; state it"):
        read_log(bare, ZONE, columns=columns)
    same(read_log(bare, ZONE, columns=columns, unit="°C", plane="level"))
    with pytest.raises(ValueError, match="says °C but °F was stated"):
        read_log(written(), ZONE, unit="°F")
    with pytest.raises(ValueError, match=r"77 °C by half of its readings; is it in °F\?"):
        read_log(written(fahrenheit=True).replace("°F", "°C"), ZONE)


def test_several_channels_share_a_role():
    text = written(heading="Time|Pot left (°C)|Pot right (°C)|GHI (W/m²)")
    log = read_log(text, ZONE)
    assert log.roles["water"] == ("Pot left (°C)", "Pot right (°C)")
    assert log.temperature("water") == pytest.approx((WATER + AIR) / 2, abs=0.01)
    only = read_log(text, ZONE, columns={"water": "Pot left (°C)"})
    assert only.temperature("water") == pytest.approx(WATER, abs=0.01)


def test_wind_in_other_units_becomes_metres_per_second():
    for unit, factor in (("m/s", 1.0), ("km/h", 3.6), ("mph", 1 / 0.44704), ("knots", 1 / 0.514444)):
        log = read_log(written(heading=f"Time|Water (°C)|Wind ({unit})|GHI (W/m²)"), ZONE)
        assert log.wind == pytest.approx(AIR / factor, rel=1e-3)


def test_gaps_stay_gaps_and_are_told():
    lines = written().splitlines()
    torn = [*lines[:41], *lines[53:80], lines[80].rpartition(",")[0], *lines[81:]]
    torn[30] = torn[30].replace(torn[30].split(",")[1], "ERR")
    for i in range(90, 96):
        cells = torn[i].split(",")
        torn[i] = ",".join([cells[0], "", *cells[2:]])
    log = read_log("\n".join(torn), ZONE)
    told = " ".join(log.notes)
    assert "Torn lines, left out: 1." in told
    assert "All columns: no readings from 2026-02-10 09:40 for 12 min." in told
    assert re.search(r"“Water \(°C\)”: no readings from 2026-02-10 10:4\d for 6 min", told)
    water = log.temperature("water")
    assert np.isnan(water[40:52]).all() and np.isnan(water).sum() == 12 + 6
    assert np.isfinite(water[29])  # one reading lost between two neighbours is bridged
    known = np.isfinite(water)
    assert water[known] == pytest.approx(WATER[known], abs=0.1)


def test_impossible_and_leaping_readings_count_as_missing():
    lines = written().splitlines()
    for row, value in ((20, "-273.1"), (50, "140.0"), (70, "999")):
        cells = lines[row].split(",")
        lines[row] = ",".join([cells[0], value, *cells[2:]])
    log = read_log("\n".join(lines), ZONE)
    assert log.temperature("water") == pytest.approx(WATER, abs=0.3)
    told = " ".join(log.notes)
    assert "Readings of “Water (°C)” beyond -40 to 300 °C, taken as missing: 2." in told
    assert "“Water (°C)” that leapt more than 10 K and back, taken as missing: 1." in told


def test_a_clock_that_stands_still_is_no_log():
    stuck = "Time,Water (°C)\n" + "2026-02-10 09:00:00,30.0\n" * 5
    with pytest.raises(ValueError, match="fewer than three of its stamps differ"):
        read_log(stuck, ZONE)


def test_a_drifting_clock_is_set_right_by_two_comparisons():
    text = written(step=63)  # 3 s gained a minute: 6 min in 2 h
    log = read_log(text, ZONE, clock=(("09:00", "09:00"), ("11:06", "11:00")))
    assert "6 min fast after 2.1 h" in " ".join(log.notes)
    assert log.times.step == 60.0
    assert log.temperature("water") == pytest.approx(WATER[: log.times.shape[0]], abs=0.02)
    shifted = read_log(written(), ZONE, clock=(("09:10", "09:00"),))
    assert str(shifted.times.local[0])[:16] == "2026-02-10 08:50"


@pytest.mark.parametrize("sign", [".", ","])
def test_a_spreadsheets_days_are_dates(sign):
    """46063 is 2026-02-10 in a spreadsheet that counts 1900-01-01 as day 1 (and 1900 as a leap year)."""
    lines = written().splitlines()
    days = [f"{46063 + (9 * 60 + k) / 1440:.7f}".replace(".", sign) for k in range(COUNT)]
    rest = [line.partition(",")[2].replace(",", ";") for line in lines[1:]]
    rows = [f"{day};{cells}" for day, cells in zip(days, rest, strict=True)]
    same(read_log("\n".join([lines[0].replace(",", ";"), *rows]), ZONE))


def test_uneven_stamps_are_brought_to_an_even_clock():
    generator = np.random.default_rng(1)
    lines = written().splitlines()
    times = pd.date_range("2026-02-10 09:00", periods=COUNT, freq="60s")
    times = times + pd.to_timedelta(generator.integers(-5, 6, COUNT), unit="s")
    jittered = [
        f"{now:%Y-%m-%d %H:%M:%S},{line.partition(',')[2]}"
        for now, line in zip(times, lines[1:], strict=True)
    ]
    log = read_log("\n".join([lines[0], *jittered]), ZONE)
    assert log.times.step == 60.0
    assert log.temperature("water")[:-1] == pytest.approx(WATER[: log.times.shape[0] - 1], abs=0.2)
    assert re.search(r"\d\d to \d\d s apart; readings were brought to an even 60 s", " ".join(log.notes))


def test_stamps_that_jump_back_or_repeat_lose_nothing_else():
    lines = written().splitlines()
    log = read_log("\n".join([lines[0], *lines[61:], *lines[1:61], lines[60]]), ZONE)
    same(log)
    assert "jump back" in " ".join(log.notes) and "repeat the stamp" in " ".join(log.notes)


SLIPS = {
    "not a table": ("hello\nthere\n", {}, "no line of headings with rows"),
    "numbers only": ("1,2\n3,4\n5,6\n", {}, "no line of headings with rows"),
    "no time": ("a,Water (°C)\n1,2\n3,4\n5,6\n", {}, "no column holds the time"),
    "unknown heading": (written(), {"columns": {"water": "Wasser"}}, "there is no heading 'Wasser'"),
    "unknown role": (written(), {"columns": {"soup": "Water (°C)"}}, "columns knows no 'soup'"),
    "unknown unit": (written(), {"unit": "K"}, "unit is 'K'; it is '°C' or '°F'"),
    "unknown plane": (written(), {"plane": "tilted"}, "plane is 'tilted'; it is 'level' or 'sun'"),
    "millivolts": (written(heading="Time|Water (°C)|Air (°C)|Light (mV)"), {}, "is not in W/m²; multiply it"),
    "two lights": (written(heading="Time|Water (°C)|GHI|Solar (W/m²)"), {}, "may all be irradiance; choose"),
    "reset clock": (written().replace("2026-02-10 09:00", "2001-01-01 00:00"), {}, "logger's clock reset"),
    "unknown zone": (written(), {"timezone": "Africa/Bamoko"}, "Time zone 'Africa/Bamoko' is not known"),
    "two rows": ("\n".join(written().splitlines()[:3]), {}, "no line of headings|fewer than three"),
    "bad comparison": (written(), {"clock": (("nine", "09:00"),)}, "clock comparison 'nine' can't be read"),
}  # fmt: skip


@pytest.mark.parametrize("slip", SLIPS)
def test_a_slip_is_met_with_one_clear_sentence(slip):
    text, options, told = SLIPS[slip]
    with pytest.raises(ValueError, match=told) as caught:
        read_log(text, **{"timezone": ZONE, **options})
    sentence = str(caught.value)
    assert "\n" not in sentence and sentence[-1] in ".?" and len(sentence) < 300


def test_unreadable_files_are_named(tmp_path):
    with pytest.raises(FileNotFoundError, match=r"none\.csv can't be read"):
        read_log(tmp_path / "none.csv", ZONE)
    (tmp_path / "sheet.xlsx").write_bytes(b"PK\x03\x04\x00\x01")
    with pytest.raises(ValueError, match=r"sheet\.xlsx is not text; export it"):
        read_log(tmp_path / "sheet.xlsx", ZONE)


@given(st.text(max_size=300), st.sampled_from([",", ";", "\t"]))
def test_no_text_breaks_the_reader_without_a_sentence(text, delimiter):
    text = f"Time{delimiter}Water (°C)\n{text}\n"
    try:
        log = read_log(text, ZONE)
    except ValueError as error:
        assert "\n" not in str(error)
    else:
        assert log.times.shape[-1] >= 2


def test_a_log_says_what_it_lacks():
    log = read_log(written(), ZONE)
    with pytest.raises(ValueError, match="has no cavity, only “Water"):
        log.needs("cavity")


# --- its light ---------------------------------------------------------------------------------------------


def test_light_facing_the_sun_and_level_light_are_each_others_inverse():
    times = instants(BAMAKO, "2026-02-10", "08:00", "17:00", 300)
    level = sky(BAMAKO, times, oktas=2).global_horizontal
    first = Log("level", times, {}, {}, level, "level")
    facing, note = facing_of(first, BAMAKO)
    assert (facing > level * 0.99).all() and "computed" in note
    back, _ = sky_of(Log("facing", times, {}, {}, facing, "sun"), BAMAKO)
    assert back.global_horizontal == pytest.approx(level, abs=1.0)


def test_a_sensor_that_stood_nobody_knows_how_is_asked_about():
    log = Log("day.csv", instants(BAMAKO, "2026-02-10"), {}, {}, np.full(169, 500.0), None)
    with pytest.raises(ValueError, match="how its light sensor stood; state whether level"):
        sky_of(log, BAMAKO)


def test_short_gaps_in_the_light_are_bridged_and_long_ones_refused():
    times = instants(BAMAKO, "2026-02-10", "09:00", "15:00", 60)
    light = sky(BAMAKO, times).global_horizontal.copy()
    light[100:115] = np.nan
    seen, notes = sky_of(Log("day.csv", times, {}, {}, light, "level"), BAMAKO)
    assert np.isfinite(seen.global_horizontal).all() and "straight lines, up to 15 min." in " ".join(notes)
    light[100:140] = np.nan
    with pytest.raises(ValueError, match="no light readings for 40 min from 10:40"):
        sky_of(Log("day.csv", times, {}, {}, light, "level"), BAMAKO)


@pytest.mark.parametrize("minutes", [-25, 0, 13])
def test_the_sun_tells_a_clock_that_is_off(minutes):
    times = instants(BAMAKO, "2026-02-10", "08:00", "17:00", 60)
    light = sky(BAMAKO, times, oktas=1).global_horizontal
    light = light * (1.0 + 0.02 * np.random.default_rng(0).standard_normal(light.size))
    said = Instants(times.utc + np.timedelta64(minutes * 60, "s").astype("timedelta64[ns]"), times.timezone)
    assert clock_error(Log("x", said, {}, {}, light, "level"), BAMAKO) == pytest.approx(minutes, abs=2)


def test_clouds_hide_the_clock():
    times = instants(BAMAKO, "2026-02-10", "08:00", "17:00", 60)
    light = sky(BAMAKO, times, oktas={"08:00": 0, "11:00": 6, "13:00": 2}).global_horizontal
    assert clock_error(Log("x", times, {}, {}, light, "level"), BAMAKO) is None


# --- the invented logs -------------------------------------------------------------------------------------


def test_invented_logs_say_so_and_are_what_the_script_makes():
    made = _logs.invented()
    logs = folder() / "logs"
    assert {path.name for path in logs.iterdir()} == set(made)
    for name, text in made.items():
        stored = (logs / name).read_text("utf-8")
        assert stored.startswith("# INVENTED")
        ours, theirs = (re.findall(r"-?\d+(?:[.,]\d+)?", words) for words in (text, stored))
        assert len(ours) == len(theirs)
        apart = [
            abs(float(a.replace(",", ".")) - float(b.replace(",", ".")))
            for a, b in zip(ours, theirs, strict=True)
        ]
        assert max(apart) <= 1.0  # the last digit may round another way elsewhere


def test_invented_logs_read_with_all_their_faults():
    _, _, runs = trial.invented_runs()
    told = [" ".join(run.log.notes) for run in runs]
    assert "Torn lines, left out: 1." in told[0] and "leapt more than 10 K" in told[0]
    assert "for 11 min" in told[0]
    assert "6 min fast after 9.1 h" in told[1]
    assert "brought to an even 120 s" in told[2] and "Not used: “Battery V”" in told[2]
    for run in runs:
        water = run.log.temperature("water")
        assert 20.0 < np.nanmin(water) < 30.0 and 95.0 < np.nanmax(water) < 101.0
