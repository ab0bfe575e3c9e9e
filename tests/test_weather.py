"""Weather files: one in pvlib's wheel, and small ones written here in the open formats, whole and broken."""

from __future__ import annotations

import json
from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest

from solarlab.catalogue import Place
from solarlab.sky import clear_sky, extraterrestrial, instants, sky, sky_temperature
from solarlab.weather import WIND_AT_OVEN, read_weather

WHEEL = Path(pvlib.__file__).parent / "data"
TURIN = pvlib.location.Location(45.0, 8.0, "UTC", 250.0, "invented point")
BEAM, DIFFUSE = 0.8, 1.3  # the invented files' light over a clear sky's, at every hour
ZURICH = "Europe/Zurich"


@lru_cache(maxsize=2)
def greensboro():
    return read_weather(WHEEL / "723170TYA.CSV", timezone="America/New_York")


def hours(start, days):
    return pd.date_range(start, periods=24 * days, freq="h", tz="UTC")


@lru_cache(maxsize=20)
def light(start, days, averaged, shift=0.0):
    """Invented hours: pvlib's own clear sky ``shift`` hours after each stamp times fixed factors; air."""
    stamps = hours(start, days) + pd.Timedelta(hours=shift)
    inside = [stamps] if not averaged else [stamps + pd.Timedelta(minutes=m) for m in range(5, 60, 10)]
    parts = [TURIN.get_clearsky(s) for s in inside]
    beam = BEAM * np.mean([p["dni"].to_numpy() for p in parts], axis=0)
    diffuse = DIFFUSE * np.mean([p["dhi"].to_numpy() for p in parts], axis=0)
    level = BEAM * np.mean([(p["ghi"] - p["dhi"]).to_numpy() for p in parts], axis=0)
    air = 15 + 8 * np.sin(2 * np.pi * (stamps.hour.to_numpy() - 8) / 24)
    table = {"ghi": diffuse + level, "beam": beam, "diffuse": diffuse, "level": level, "air": air}
    return list(pd.DataFrame(table).itertuples())


def write_epw(path, days=4, zone=1, offset=None, sky_cover=3, infrared=9999):
    """EPW: hours end at their stamp, local standard time; with an ``offset``, as PVGIS writes it."""
    comment = "COMMENTS 2,invented" if offset is None else f"COMMENTS 2,Irradiance Time Offset (h):{offset}"
    head = [f"LOCATION,Invented,-,-,made up,0,45.0,8.0,{zone},250", "DESIGN CONDITIONS,0",
            "TYPICAL/EXTREME PERIODS,0", "GROUND TEMPERATURES,0", "HOLIDAYS/DAYLIGHT SAVING,No,0,0,0",
            "COMMENTS 1,invented", comment, "DATA PERIODS,1,1,Data,Sunday, 6/ 1, 6/ 4"]
    shift = -zone if offset is None else 1 + offset
    table = light("2018-06-01", days, offset is None, shift)
    rows = [f"{t.year},{t.month},{t.day},{t.hour + 1},0,?,{r.air:.1f},5.0,50,98000,0,0,{infrared},"
            f"{r.ghi:.1f},{r.beam:.1f},{r.diffuse:.1f},0,0,0,0,180,5.0,{sky_cover},0,20,9999,9,0,10,0.1,0,88,0.2,0,0"
            for t, r in zip(hours("2018-06-01", days), table, strict=True)]
    path.write_text("\n".join([*head, *rows]) + "\n", encoding="utf-8")
    return path


def year_rows(offset):
    stamps, table = hours("2018-01-01", 365), light("2018-01-01", 365, False, offset)
    names = ["time(UTC)", "T2m", "RH", "G(h)", "Gb(n)", "Gd(h)", "IR(h)", "WS10m", "WD10m", "SP"]
    rows = [[f"{t:%Y%m%d:%H%M}", round(r.air, 2), 50.0, *np.round([r.ghi, r.beam, r.diffuse], 1).tolist(),
             320.0, 5.0, 180.0, 98000.0] for t, r in zip(stamps, table, strict=True)]
    return names, rows


def write_json(path, inputs, outputs):
    whole = {"inputs": inputs, "meta": {"inputs": {}}, "outputs": outputs}
    path.write_text(json.dumps(whole), encoding="utf-8")
    return path


def write_pvgis_year(path, offset=0.1761):
    names, rows = year_rows(offset)
    months = [{"month": m, "year": 2018} for m in range(1, 13)]
    if path.suffix == ".json":
        where = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0, "irradiance_time_offset": offset}
        outputs = {"months_selected": months, "tmy_hourly": [dict(zip(names, r, strict=True)) for r in rows]}
        return write_json(path, {"location": where}, outputs)
    head = ["Latitude (decimal degrees): 45.000", "Longitude (decimal degrees): 8.000",
            "Elevation (m): 250.0", f"Irradiance Time Offset (h): {offset}", "month,year",
            *(f"{m['month']},2018" for m in months)]
    body = [",".join(names), *(",".join(map(str, r)) for r in rows), "T2m: air temperature"]
    path.write_text("\n".join(head + body) + "\n", encoding="utf-8")
    return path


def write_pvgis_hourly(path, slope="0", minute=10, components=True, days=3):
    stamps, table = hours("2016-06-01", days), light("2016-06-01", days, False, minute / 60)
    stamps += pd.Timedelta(minutes=minute)
    names = ["time", "Gb(i)", "Gd(i)", "Gr(i)", "H_sun", "T2m", "WS10m", "Int"]
    rows = [[f"{t:%Y%m%d:%H%M}", round(r.level, 2), round(r.diffuse, 2), 0.0, 0.0, round(r.air, 2), 5.0, 0.0]
            for t, r in zip(stamps, table, strict=True)]
    if not components:
        names[1:4] = ["G(i)"]
        rows = [[r[0], r[1] + r[2], *r[4:]] for r in rows]
    if path.suffix == ".json":
        mount = {"fixed": {"slope": {"value": int(slope)}, "azimuth": {"value": 0}}}
        where = {"latitude": 45.0, "longitude": 8.0, "elevation": 250.0}
        table = [dict(zip(names, r, strict=True)) for r in rows]
        return write_json(path, {"location": where, "mounting_system": mount}, {"hourly": table})
    head = ["Latitude (decimal degrees):\t45.000", "Longitude (decimal degrees):\t8.000",
            "Elevation (m):\t250", "Radiation database:\tinvented", "", "",
            f"Slope: {slope} deg. ", "Azimuth: 0 deg. "]
    body = [",".join(names), *(",".join(map(str, row)) for row in rows), "", "note: none"]
    path.write_text("\n".join(head + body), encoding="utf-8")
    return path


# ---- the real year in the wheel

def test_a_real_years_light_comes_back_day_by_day():
    """Measured: the year's global within .1 %, beam .3 %; each day's global within 1.6 %."""
    weather = greensboro()
    times = weather.instants("00:00", "23:55")
    made = sky(weather.place, times, weather=weather)
    assert made.shape == (365, 288) and weather.notes == () and weather.source == "TMY3"
    data, _ = pvlib.iotools.read_tmy3(WHEEL / "723170TYA.CSV")
    whole = data["ghi"].to_numpy().reshape(365, 24).sum(axis=1)
    ours = made.global_horizontal.sum(axis=1) / 12
    summer = np.isin(np.arange(365), np.arange(0, 365, 7))
    assert ours.sum() == pytest.approx(whole.sum(), rel=0.003)
    assert made.beam_normal.sum() / 12 == pytest.approx(data["dni"].sum(), rel=0.006)
    assert ours[summer] == pytest.approx(whole[summer], rel=0.03)
    level = made.beam_normal * np.maximum(np.sin(np.radians(made.elevation)), 0)
    np.testing.assert_allclose(made.global_horizontal, made.diffuse_horizontal + level, atol=1e-9)
    assert (made.beam_normal <= extraterrestrial(times)).all() and (made.diffuse_horizontal >= 0).all()
    assert (made.beam_normal[made.elevation <= 0] == 0).all()


def test_air_is_the_files_own_on_the_hour_and_wind_is_brought_down_to_the_oven():
    weather = greensboro()
    data, _ = pvlib.iotools.read_tmy3(WHEEL / "723170TYA.CSV")
    times = weather.instants("10:00", "14:00", 3600)[15]  # a winter day: local and file clock agree
    made = sky(weather.place, times, weather=weather)
    rows = data.iloc[15 * 24 + 9:15 * 24 + 14]  # stamps 10:00 to 14:00
    np.testing.assert_allclose(made.air_temperature, rows["temp_air"])
    np.testing.assert_allclose(made.wind_speed, rows["wind_speed"] * WIND_AT_OVEN)
    np.testing.assert_allclose(made.pressure, rows["pressure"] * 100)
    assert pytest.approx(0.604, abs=0.001) == WIND_AT_OVEN
    own = sky(weather.place, times, weather=weather, air_temperature=30.0, wind_speed=2.0)
    assert (own.air_temperature == 30).all() and (own.wind_speed == 2).all()


def test_any_year_will_do_and_a_batch_is_its_days():
    weather = greensboro()
    place = weather.place
    new, old = (sky(place, instants(place, f"{y}-04-10"), weather=weather) for y in (2031, 2032))
    assert new.global_horizontal == pytest.approx(old.global_horizontal, rel=0.01, abs=6)
    leap = sky(place, instants(place, "2024-02-29"), weather=weather)
    before = sky(place, instants(place, "2024-02-28"), weather=weather)
    assert leap.air_temperature[60] == before.air_temperature[60]
    batch = sky(place, instants(place, ["2024-02-28", "2024-02-29"]), weather=weather)
    np.testing.assert_allclose(batch.pick(1).beam_normal, leap.beam_normal)
    turn = sky(place, instants(place, "2024-12-31", "00:00", "24:00"), weather=weather)
    assert np.isfinite(turn.global_horizontal).all()


def test_a_place_far_from_the_files_earns_a_note():
    weather = greensboro()
    times = weather.instants()[10]
    far = Place("Asheville", 35.6, -82.55, 650.0, "America/New_York")
    assert sky(weather.place, times, weather=weather).notes == ()
    assert sky(far, times, weather=weather).notes[-1].startswith("The weather file is for GREENSBORO")
    assert "km away and 377 m lower" in sky(far, times, weather=weather).notes[-1]


# ---- invented files in the open formats

def check(weather, date, timezone=ZURICH, beam=0.02, air=True):
    """The sky from an invented file is the clear sky times its factors, with its air and wind."""
    place = Place("point", 45.0, 8.0, 250.0, timezone)
    times = instants(place, date, "07:00", "20:00")
    made = sky(place, times, weather=weather)
    clear_beam, clear_diffuse = clear_sky(place, times)
    high = made.elevation > 12
    assert (made.beam_normal / np.maximum(clear_beam, 1))[high] == pytest.approx(BEAM, abs=beam)
    of_diffuse = (made.diffuse_horizontal / np.maximum(clear_diffuse, 1))[high]
    assert of_diffuse == pytest.approx(DIFFUSE, abs=2 * beam)
    assert made.wind_speed == pytest.approx(5.0 * WIND_AT_OVEN)
    assert weather.notes == () and made.notes == ()
    return made


def test_epw(tmp_path):
    weather = read_weather(write_epw(tmp_path / "a.epw"), timezone=ZURICH)
    made = check(weather, "2018-06-02")
    assert weather.source == "EPW" and weather.utc_offset == 1 and weather.place.name == "Invented"
    assert made.sky_temperature == pytest.approx(sky_temperature(made.air_temperature, 0.3), abs=0.1)
    missing = read_weather(write_epw(tmp_path / "b.epw", sky_cover=99), timezone=ZURICH)
    guessed = check(missing, "2018-06-02")
    assert (guessed.sky_temperature < guessed.air_temperature).all()
    shining = check(read_weather(write_epw(tmp_path / "c.epw", infrared=350), timezone=ZURICH), "2018-06-02")
    expected = 5.670374e-8 * (shining.sky_temperature + 273.15) ** 4
    assert expected == pytest.approx(350, abs=12)  # between hours the emittance runs straight, not the watts


def test_epw_as_pvgis_writes_it_keeps_utc_whatever_zone_it_names(tmp_path):
    check(read_weather(write_epw(tmp_path / "a.epw", zone=1, offset=-0.8239)), "2018-06-02")


@pytest.mark.parametrize("suffix", [".csv", ".json"])
def test_pvgis_typical_year(tmp_path, suffix):
    weather = read_weather(write_pvgis_year(tmp_path / f"tmy{suffix}"), timezone=ZURICH)
    made = check(weather, "2025-07-15")
    assert weather.source == "PVGIS typical year" and len(weather.dates) == 365
    assert made.pressure == pytest.approx(98000) and weather.light_at == pytest.approx(0.1761)


@pytest.mark.parametrize("suffix", [".csv", ".json"])
def test_pvgis_hourly(tmp_path, suffix):
    weather = read_weather(write_pvgis_hourly(tmp_path / f"h{suffix}"))
    check(weather, "2016-06-02")
    assert weather.source == "PVGIS hourly" and weather.place.timezone == "UTC"
    check(weather, "2030-06-02")  # another year: the same day


def test_a_file_whose_clock_is_wrong_says_so(tmp_path):
    text = write_epw(tmp_path / "a.epw").read_text().replace("45.0,8.0,1,250", "45.0,8.0,3,250")
    (tmp_path / "b.epw").write_text(text)
    weather = read_weather(tmp_path / "b.epw")
    assert "do not add up" in weather.notes[0]
    assert weather.notes[0] in sky(weather.place, weather.instants()[1], weather=weather).notes


def test_half_hour_clocks_have_a_zone_or_ask_for_one(tmp_path):
    text = write_epw(tmp_path / "a.epw").read_text()
    (tmp_path / "b.epw").write_text(text.replace("45.0,8.0,1,250", "45.0,8.0,5.5,250"))
    assert read_weather(tmp_path / "b.epw").place.timezone == "Asia/Kolkata"
    (tmp_path / "c.epw").write_text(text.replace("45.0,8.0,1,250", "45.0,8.0,-3.5,250"))
    with pytest.raises(ValueError, match=r"-3\.5 h from UTC"):
        read_weather(tmp_path / "c.epw")


# ---- refusals: one clear sentence each

def lines_of(path):
    return path.read_text(encoding="utf-8").splitlines()


def broken_epw(tmp_path, change):
    lines = lines_of(write_epw(tmp_path / "whole.epw"))
    change(lines)
    (tmp_path / "bad.epw").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return tmp_path / "bad.epw"


def reading(column, value):
    def change(lines):
        cells = lines[8 + 30].split(",")
        cells[column] = value
        lines[8 + 30] = ",".join(cells)
    return change


@pytest.mark.parametrize(("change", "words"), [
    (lambda lines: lines.pop(8 + 30), "the hour from 2018-06-02 06:00 is missing"),
    (lambda lines: lines.pop(), "the hour from 2018-06-04 23:00 is missing"),
    (lambda lines: lines.__delitem__(slice(32, 56)), "days are missing between 2018-06-01 and 2018-06-03"),
    (lambda lines: lines.__delitem__(slice(8, None)), "holds no hours"),
    (reading(14, "9999"), "the beam is missing or impossible in the hour from 2018-06-02 06:00"),
    (reading(6, "99.9"), "the air temperature is missing"),
    (reading(9, "999999"), "the pressure is missing"),
    (reading(13, "lots"), "is damaged"),
    (lambda lines: lines.__setitem__(0, "LOCATION,Invented"), "has no column 'altitude'"),
    (lambda lines: lines.__setitem__(0, lines[0].replace("45.0", "95.0")), "95"),
    (lambda lines: lines.__setitem__(slice(None), ["time,heat", "1,2"]), "is not a weather file of a known"),
])
def test_a_torn_or_wrong_file_is_refused_in_one_clear_sentence(tmp_path, change, words):
    with pytest.raises(ValueError) as caught:
        read_weather(broken_epw(tmp_path, change))
    told = str(caught.value)
    assert words in told and "\n" not in told and len(told) < 300


def test_other_refusals(tmp_path):
    with pytest.raises(FileNotFoundError, match=r"no weather file none\.epw"):
        read_weather(tmp_path / "none.epw")
    (tmp_path / "x.json").write_text('{"outputs": {"daily": []}}')
    (tmp_path / "y.json").write_text("{")
    (tmp_path / "z.csv").write_bytes(b"\xff\xfe\x00\x80" * 50)
    (tmp_path / "empty.csv").write_text("")
    for name in ("x.json", "y.json", "z.csv", "empty.csv"):
        with pytest.raises(ValueError, match="not a weather file of a known kind; give a TMY3"):
            read_weather(tmp_path / name)
    with pytest.raises(ValueError, match="slope 0"):
        read_weather(write_pvgis_hourly(tmp_path / "tilted.csv", slope="30"))
    with pytest.raises(ValueError, match="radiation components"):
        read_weather(write_pvgis_hourly(tmp_path / "whole.csv", components=False))
    year = lines_of(write_pvgis_year(tmp_path / "year.csv"))
    (tmp_path / "short.csv").write_text("\n".join(year[:3000]))
    with pytest.raises(ValueError, match="breaks off before its end"):
        read_weather(tmp_path / "short.csv")
    tmy3 = (WHEEL / "723170TYA.CSV").read_text().splitlines()[:26]
    tmy3[1] = tmy3[1].replace("DNI (W/m^2)", "Direct")
    (tmp_path / "renamed.csv").write_text("\n".join(tmy3))
    with pytest.raises(ValueError, match="has no column 'dni'"):
        read_weather(tmp_path / "renamed.csv")


def test_a_date_the_file_does_not_hold_is_refused(tmp_path):
    weather = read_weather(write_epw(tmp_path / "a.epw"), timezone=ZURICH)
    with pytest.raises(ValueError, match=r"has no 2018-07-01 in any year; its 4 days run from 2018-06-01"):
        sky(weather.place, instants(weather.place, "2018-07-01"), weather=weather)
    inside = weather.instants("00:00", "23:55")  # summer time starts the first day before the file does
    assert inside.shape == (3, 288) and str(inside[0].local[0].date()) == "2018-06-02"
    own = read_weather(tmp_path / "a.epw")
    edge = sky(own.place, own.instants("00:00", "23:55"), weather=own)  # its first and last hours
    assert edge.shape == (4, 288) and np.isfinite(edge.air_temperature).all()
    with pytest.raises(ValueError, match="quantile goes with"):
        sky(weather.place, weather.instants(), weather=weather, quantile=0.5)
