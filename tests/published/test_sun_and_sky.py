"""Sun and sky against the world outside.  Marks: [seen] in a stored public document, [lib] reproduced with a
general-purpose library or closed form, [memory] recalled.  Numbers in brackets are references.md's.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pytest
from scipy.optimize import curve_fit

from solarlab import cloud
from solarlab.catalogue import Place
from solarlab.sky import Instants, clear_sky, extraterrestrial, instants, solar_time, sun_times, sun_vector
from solarlab.sun import declination, equation_of_time
from solarlab.weather import read_weather

WHEEL = Path(pvlib.__file__).parent / "data"
GOLDEN = Place("Golden", 39.742476, -105.1786, 1830.14, "Etc/GMT+7")
MADISON = Place("Madison", 43.0, -90.0, 0.0, "Etc/GMT+6")  # on its time meridian


def level_normal(tilt, azimuth):
    """East, north, up of a plane's normal."""
    tilt, azimuth = np.radians([tilt, azimuth])
    return np.array([np.sin(tilt) * np.sin(azimuth), np.sin(tilt) * np.cos(azimuth), np.cos(tilt)])


def at_solar_hour(place, date, hour):
    """The instant at which the sundial of ``place`` shows ``hour``, and one a second later."""
    times = instants(place, date, "05:00", "19:00", 1)
    k = int(np.argmin(abs(solar_time(place, times) - hour)))
    return times[k:k + 2]


# ---- 1: NREL/TP-560-34302, worked example [seen, lib]

def test_spa_reproduces_its_worked_example():
    """Zenith 50.11162°, azimuth 194.340241°, at 820 mbar, 11 °C, ΔT 67 s [seen]."""
    unix = np.array([pd.Timestamp("2003-10-17 12:30:30", tz="Etc/GMT+7").timestamp()])
    zenith, _, _, _, azimuth, minutes = pvlib.spa.solar_position(
        unix, GOLDEN.latitude, GOLDEN.longitude, GOLDEN.elevation, 820, 11, 67.0, 0.5667, 1)
    assert zenith[0] == pytest.approx(50.11162, abs=1e-5)
    assert azimuth[0] == pytest.approx(194.340241, abs=1e-5)
    assert minutes[0] == pytest.approx(14.64, abs=0.005)


def test_the_sparse_sun_reproduces_the_worked_example():
    """The same values, and incidence 25.18700° on slope 30°, azimuth 170°; transit 11:46:05 [seen]."""
    times = pd.DatetimeIndex(["2003-10-17 12:30:30", "2003-10-17 12:30:31"], tz="Etc/GMT+7")
    sun = sun_vector(GOLDEN, times)[0]
    assert np.degrees(np.arccos(sun[2])) == pytest.approx(50.11162, abs=0.002)
    assert np.degrees(np.arctan2(sun[0], sun[1])) % 360 == pytest.approx(194.340241, abs=0.002)
    assert np.degrees(np.arccos(sun @ level_normal(30, 170))) == pytest.approx(25.187, abs=0.002)
    assert equation_of_time(times)[0] == pytest.approx(14.64, abs=0.01)
    assert f"{sun_times(GOLDEN, '2003-10-17').transit:%H:%M:%S}" == "11:46:05"


def test_textbook_declinations_err_where_spa_does_not():
    """At noon Spencer's by up to .5°, Cooper's by up to 1.2° [lib]; ours by .002° against SPA at any hour."""
    hours = pd.date_range("2003-01-01", periods=8760, freq="h", tz="UTC")
    spa = pvlib.spa.solar_position(hours.as_unit("ns").asi8 / 1e9, 0, 0, 0, 0, 0, 67.0, 0, 1, sst=True)[2]
    assert np.abs(declination(hours) - spa).max() < 0.002
    day = hours.day_of_year.to_numpy()
    noon = hours.hour == 12
    spencer = np.degrees(pvlib.solarposition.declination_spencer71(day))
    cooper = np.degrees(pvlib.solarposition.declination_cooper69(day))
    assert 0.1 < np.abs(spencer - spa)[noon].max() <= 0.5
    assert 0.5 < np.abs(cooper - spa)[noon].max() <= 1.2


# ---- 2: Duffie & Beckman, Solar Engineering of Thermal Processes

def test_incidence_and_beam_ratio_of_duffie_and_beckman():
    """Ex. 1.6.1: 13 Feb, 10:30 solar, φ 43, β 45, γ 15 west: θ 35° [seen; lib 35.18]; R_b 1.66 [memory].

    The book's declination (Cooper) is −13.95°, the sun's own −13.4°: .5° of it shows in θ, .02 in R_b.
    """
    sun = sun_vector(MADISON, at_solar_hour(MADISON, "2023-02-13", 10.5))[0]
    incidence = sun @ level_normal(45, 195)
    assert np.degrees(np.arccos(incidence)) == pytest.approx(35.18, abs=0.5)
    assert incidence / sun[2] == pytest.approx(1.66, abs=0.04)


def test_day_and_extraterrestrial_light_of_duffie_and_beckman():
    """Ex. 1.10.1: 15 Apr, 43 N: day 13.19 h geometric, H₀ 33.8 MJ/m²; 1.10.2, 10–11 h: I₀ 3.79 [memory, lib].

    The book's declination (Cooper) is 9.41°, the sun's own 9.83°: our day is .05 h longer, our light 1 %
    more.  With the book's declination the closed forms give the book's numbers.
    """
    times = instants(MADISON, "2023-04-15", "00:00", "24:00", 60)
    tilt = declination(times)[720]
    day = 2 / 15 * np.degrees(np.arccos(-np.tan(np.radians(43)) * np.tan(np.radians(tilt))))
    assert day == pytest.approx(13.19, abs=0.06)
    north, tilted = np.radians(43), np.radians(9.41)
    half = np.arccos(-np.tan(north) * np.tan(tilted))
    assert 2 / 15 * np.degrees(half) == pytest.approx(13.19, abs=0.01)
    light = np.cos(north) * np.cos(tilted) * np.sin(half) + half * np.sin(north) * np.sin(tilted)
    book = 86400 / np.pi * 1367 * (1 + 0.033 * np.cos(2 * np.pi * 105 / 365)) * light / 1e6
    assert book == pytest.approx(33.8, abs=0.05)
    light = extraterrestrial(times) * np.maximum(sun_vector(MADISON, times)[:, 2], 0)
    assert np.trapezoid(light, dx=60) / 1e6 == pytest.approx(33.8, rel=0.012)
    hour = (solar_time(MADISON, times) >= 10) & (solar_time(MADISON, times) < 11)
    assert light[hour].mean() * 3600 / 1e6 == pytest.approx(3.79, rel=0.012)


# ---- 3: clear skies

def test_haurwitz_as_pvlib_has_it():
    """Elevations 5/10/30/50/90° → 48.63/135.74/487.89/778.77/1035.09 W/m² [seen]."""
    zenith = pd.Series([85.0, 80.0, 60.0, 40.0, 0.0])
    expected = [48.63, 135.74, 487.89, 778.77, 1035.09]
    np.testing.assert_allclose(pvlib.clearsky.haurwitz(zenith)["ghi"], expected, atol=0.01)


def test_ineichen_as_pvlib_has_it():
    """Zenith 10, air mass 1, T_L 3 → 1038.16/942.21/110.27 W/m² [seen, lib]."""
    light = pvlib.clearsky.ineichen(10.0, 1.0, 3.0)
    assert [light[k] for k in ("ghi", "dni", "dhi")] == pytest.approx([1038.16, 942.21, 110.27], abs=0.01)


# ---- 4, 5: cloud and decomposition

def test_kasten_and_czeplak():
    """Oktas 0–8 → 1, .9994, .9933, .9733, .9290, .8483, .7180, .5237, .25 [seen, lib]."""
    expected = [1, 0.9994, 0.9933, 0.9733, 0.9290, 0.8483, 0.7180, 0.5237, 0.25]
    np.testing.assert_allclose(cloud.global_fraction(np.arange(9)), expected, atol=5e-5)


@pytest.mark.parametrize(("day", "beam", "diffuse"), [
    ("2019-01-01", 794.2, 217.9), ("2019-06-20", 842.0, 170.8)])
def test_erbs_as_pvlib_has_it(day, beam, diffuse):
    """GHI 1000, zenith 10 [seen]; and Driesse's smooth form, which we use, stays with it."""
    stamp = pd.DatetimeIndex([day])
    split = pvlib.irradiance.erbs(1000.0, 10.0, stamp)
    assert split["dni"].iloc[0] == pytest.approx(beam, abs=0.1)
    assert split["dhi"].iloc[0] == pytest.approx(diffuse, abs=0.1)
    smooth = pvlib.irradiance.erbs_driesse(1000.0, 10.0, stamp)
    assert smooth["dhi"].iloc[0] == pytest.approx(diffuse, abs=1.0)


# ---- 6: a real year: the TMY3 and TMY2 files inside the pvlib wheel [lib]

@lru_cache(maxsize=3)
def year(name):
    """Hours with the sun above 10° at mid-hour: the file's light, the same over a clear sky's, and cover.

    Beam is over the *file's own* clear sky, the median of its cloudless hours: turbidity is not cloud.
    """
    if name.endswith("tm2"):
        data, about = pvlib.iotools.read_tmy2(str(WHEEL / name))
        place = Place(about["City"], about["latitude"], about["longitude"], about["altitude"], "Etc/GMT+5")
        middle = data.index.tz_convert("UTC").tz_localize(None).to_numpy() + np.timedelta64(30, "m")
        times = Instants(middle.reshape(365, 24), place.timezone)
        columns = ("GHI", "DNI", "TotCld")
    else:
        data, _ = pvlib.iotools.read_tmy3(WHEEL / name)
        weather = read_weather(WHEEL / name)
        place, times = weather.place, weather.instants("00:30", "23:30", 3600)
        columns = ("ghi", "dni", "TotCld (tenths)")
    whole, beam, cover = (data[c].to_numpy(dtype=float).reshape(365, 24) for c in columns)
    up = sun_vector(place, times)[..., 2]
    clear_beam, clear_diffuse = clear_sky(place, times)
    high = up > np.sin(np.radians(10))
    ratio = (beam / np.maximum(clear_beam, 1))[high]
    cloudless = np.median(ratio[cover[high] == 0])
    clear = (clear_diffuse + clear_beam * up)[high]
    return {"whole": whole[high], "beam": beam[high], "cover": cover[high] / 10, "up": up[high],
            "clear": clear, "clear_beam": clear_beam[high],
            "of_beam": np.clip(ratio / cloudless, 0, 1), "of_global": whole[high] / clear,
            "day": np.broadcast_to(np.arange(365)[:, None], up.shape)[high]}


GREENSBORO, SAND_POINT, MIAMI = "723170TYA.CSV", "703165TY.csv", "12839.tm2"


def test_cloud_and_haurwitz_against_greensboros_global_light():
    """Annual ratio .96 ± .03, hourly rRMSE ≤ 32 % [lib]."""
    file = year(GREENSBORO)
    haurwitz = pvlib.clearsky.haurwitz(pd.Series(np.degrees(np.arccos(file["up"]))))["ghi"].to_numpy()
    model = haurwitz * cloud.global_fraction(8 * file["cover"])
    assert model.sum() / file["whole"].sum() == pytest.approx(0.96, abs=0.03)
    assert np.sqrt(np.mean((model - file["whole"]) ** 2)) / file["whole"].mean() <= 0.32


def test_cloudless_hours_of_real_years_against_our_clear_sky():
    """Measured, median of 0 tenths: global 1.03 (Greensboro), 1.00 (Sand Point), 1.07 (Miami) of ours.

    So Ineichen with the climatology is up to 7 % dim in these files; an hour's haze spreads by up to ± 10 %.
    """
    for name, expected in ((GREENSBORO, 1.03), (SAND_POINT, 1.00), (MIAMI, 1.07)):
        file = year(name)
        ratio = file["of_global"][file["cover"] == 0]
        assert np.median(ratio) == pytest.approx(expected, abs=0.01)
        assert np.std(ratio) < 0.11


def test_our_sky_against_greensboros_global_and_beam():
    """Measured: global .89 of the file's over the year, beam .97; hourly rRMSE 29 and 46 %.  Not tuned.

    Of the missing tenth a third is the clear sky's; the rest is Kasten & Czeplak's above 6 oktas, where this
    file's cloud lets through more (.48 at 10 tenths against .25): cirrus counts as cover.
    """
    file = year(GREENSBORO)
    whole = file["clear"] * cloud.global_fraction(8 * file["cover"])
    beam = file["clear_beam"] * cloud.beam_fraction(8 * file["cover"])
    assert whole.sum() / file["whole"].sum() == pytest.approx(0.89, abs=0.02)
    assert beam.sum() / file["beam"].sum() == pytest.approx(0.97, abs=0.02)
    assert np.sqrt(np.mean((whole - file["whole"]) ** 2)) / file["whole"].mean() <= 0.30
    assert np.sqrt(np.mean((beam - file["beam"]) ** 2)) / file["beam"].mean() <= 0.48


def fit(file, keep):
    """The mean's two coefficients by least squares, and the number of cells from the variance about it."""
    cover, beam = file["cover"][keep], file["of_beam"][keep]
    (linear, quartic), _ = curve_fit(lambda c, a, b: 1 - a * c - b * c**4, cover, beam, [0.4, 0.5])
    mean, cloudy = 1 - linear * cover - quartic * cover**4, cover > 0
    return linear, quartic, (mean * (1 - mean))[cloudy].sum() / ((beam - mean) ** 2)[cloudy].sum()


def test_the_beams_spread_is_fitted_to_greensboro_and_either_half_of_its_days_would_do():
    file = year(GREENSBORO)
    linear, quartic, cells = fit(file, file["day"] >= 0)
    assert (linear, quartic) == pytest.approx(cloud.BEAM_LOSS, abs=0.01)
    assert cells == pytest.approx(cloud.CLOUD_CELLS, abs=0.1)
    cover = np.linspace(0, 1, 11)
    for half in (0, 1):
        linear, quartic, cells = fit(file, file["day"] % 2 == half)
        mean = 1 - linear * cover - quartic * cover**4
        ours = 1 - cloud.BEAM_LOSS[0] * cover - cloud.BEAM_LOSS[1] * cover**4
        np.testing.assert_allclose(mean, ours, atol=0.04)
        assert cells == pytest.approx(cloud.CLOUD_CELLS, abs=0.2)


def tenths(name):
    """By tenths: hours, the file's mean less the model's, shares of hours below the model's 10, 50, 90 %."""
    file, levels = year(name), (np.arange(40) + 0.5) / 40
    for tenth in range(1, 11):
        hours = file["of_beam"][np.round(10 * file["cover"]) == tenth]
        off = hours.mean() - cloud.beam_quantile(0.8 * tenth, levels).mean()
        below = [(hours < edge).mean() for edge in cloud.beam_quantile(0.8 * tenth, [0.1, 0.5, 0.9])]
        yield tenth, hours.size, off, below


def test_the_beams_spread_against_greensboro_tenth_by_tenth():
    """Every tenth: mean within .03; below the model's 10 % line lie 4–15 % of the hours, below its median
    45–68 %, below its 90 % line 85–96 %.

    The exceptions: at 1–2 tenths haze, not cloud, spreads the file's beam, and the model's 90 % line is at 1.
    At 10 tenths half the file's hours have no beam at all: a quarter lie below the 10 % line.
    """
    for tenth, count, off, (low, middle, high) in tenths(GREENSBORO):
        assert count > 150 and abs(off) < 0.03, tenth
        assert 0.03 < low < (0.27 if tenth == 10 else 0.16), tenth
        assert 0.42 < middle < 0.70, tenth
        assert tenth <= 2 or 0.84 < high < 0.97, tenth


@pytest.mark.parametrize(("name", "worst"), [(MIAMI, 0.10), (SAND_POINT, 0.21)])
def test_the_beams_spread_against_years_it_was_not_fitted_to(name, worst):
    """Miami (TMY2): the mean is at most .10 too sunny.  Sand Point, Alaska: up to .21 too sunny (stratus)."""
    off = np.array([row[2] for row in tenths(name)])
    assert (off > -worst).all() and (off < 0.02).all()


def test_five_tenths_spans_half_the_clear_beam():
    """At 5 tenths Greensboro's hourly beam spans .37–.98 of clear (10–90 %), the model's .29–.99."""
    file = year(GREENSBORO)
    hours = file["of_beam"][np.round(10 * file["cover"]) == 5]
    np.testing.assert_allclose(np.quantile(hours, [0.1, 0.9]), [0.37, 0.98], atol=0.02)
    np.testing.assert_allclose(cloud.beam_quantile(4, [0.1, 0.9]), [0.37, 0.98], atol=0.08)


def test_global_light_that_goes_with_a_picked_beam():
    """At beams of .1 … .95 Greensboro's global is 0–.08 above the published sky's: broken cloud is bright.

    Below .05 the file holds from half a sky to black storms, the model one point.
    """
    file = year(GREENSBORO)
    beam, of_global, _ = cloud._published()
    for middle in np.arange(0.15, 0.95, 0.1):
        near = abs(file["of_beam"] - middle) < 0.05
        gap = np.median(file["of_global"][near]) - np.interp(middle, beam, of_global)
        assert 0.0 < gap < 0.08, middle


def test_shadow_words_against_greensboro():
    """Mean beam of the hours each word covers: crisp .93, soft .48, none .02; we use .875, .45 and .075."""
    file = year(GREENSBORO)
    for word, expected in (("crisp", 0.93), ("soft", 0.48), ("none", 0.02)):
        low, high = cloud.SHADOWS[word]
        hours = file["of_beam"][(file["of_beam"] >= low) & (file["of_beam"] <= high)]
        assert hours.size > 900 and hours.mean() == pytest.approx(expected, abs=0.01)
        assert (low + high) / 2 == pytest.approx(expected, abs=0.06)


# ---- 7: ASTM G173, in the wheel [lib]

def test_astm_g173_adds_up():
    """Global on a 37° tilt 1000.4, direct and circumsolar 900.1 W/m²."""
    spectra = pvlib.spectrum.get_reference_spectra(standard="ASTM G173-03")
    for column, expected in (("global", 1000.4), ("direct", 900.1)):
        assert np.trapezoid(spectra[column], spectra.index) == pytest.approx(expected, abs=0.1)


# ---- 11: sky temperature

def test_swinbank():
    """30 °C → 18.2 °C [lib]; at 8 oktas ε = .16 ε₀ + .84 (Unsworth & Monteith [memory]): 2 K below air."""
    assert cloud.sky_temperature(30.0) == pytest.approx(18.2, abs=0.05)
    assert 28.0 < cloud.sky_temperature(30.0, 1.0) < 30.0
