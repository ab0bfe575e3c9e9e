"""The sun at the edges of the calendar and of the map, against pvlib's full SPA [lib]."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pvlib
import pytest

from solarlab.catalogue import Place
from solarlab.sky import sky
from solarlab.sun import Instants, instants, sun_times, sun_vector

EDGES = {  # half and quarter hours, the date line's both sides, poles, high ground, a double daylight saving
    "Kathmandu": Place("Kathmandu", 27.7, 85.3, 1400.0, "Asia/Kathmandu"),
    "Chatham": Place("Chatham", -44.0, -176.5, 10.0, "Pacific/Chatham"),
    "Kiritimati": Place("Kiritimati", 1.9, -157.4, 3.0, "Pacific/Kiritimati"),
    "Apia": Place("Apia", -13.8, -171.8, 5.0, "Pacific/Apia"),
    "Troll": Place("Troll", -72.0, 2.5, 1300.0, "Antarctica/Troll"),
    "Altiplano": Place("Altiplano", -17.0, -68.0, 4000.0, "America/La_Paz"),
    "North Pole": Place("North Pole", 90.0, 0.0, 0.0, "UTC"),
    "South Pole": Place("South Pole", -90.0, 0.0, 2800.0, "UTC"),
}


@pytest.mark.parametrize("name", EDGES)
def test_the_sun_is_right_at_the_edges_of_the_map_and_the_calendar(name):
    """Leap day, the days on which clocks change, solstices, the turn of the year: within .01°."""
    here = EDGES[name]
    for date in ("2024-02-29", "2026-03-29", "2026-04-05", "2026-06-21", "2026-09-27", "2026-12-31"):
        times = instants(here, date, "00:00", "24:00", 1800)
        spa = pvlib.solarposition.get_solarposition(
            times.local, here.latitude, here.longitude, altitude=here.elevation,
            pressure=pvlib.atmosphere.alt2pres(here.elevation),
        )  # fmt: skip
        zenith, azimuth = np.radians(spa["apparent_zenith"]), np.radians(spa["azimuth"])
        expected = np.stack(
            [np.sin(zenith) * np.sin(azimuth), np.sin(zenith) * np.cos(azimuth), np.cos(zenith)], axis=-1
        )
        off = np.degrees(np.linalg.norm(sun_vector(here, times) - expected, axis=-1))
        assert off.max() < 0.01


def test_noon_on_the_date_line_is_that_day_and_half_hour_zones_keep_their_half_hour():
    """Highest sun within two hours of clock noon, on the date asked for (equation of time, zone, saving)."""
    for name in ("Kathmandu", "Chatham", "Kiritimati", "Apia"):
        for date in ("2026-01-01", "2026-12-31"):
            transit = sun_times(EDGES[name], date).transit
            assert str(transit.date()) == date
            assert abs(transit.hour + transit.minute / 60.0 - 12.5) < 2.0
    india = Place("Delhi", 28.6, 77.2, 216.0, "Asia/Kolkata")
    begins = instants(india, "2026-05-01", "06:00", "18:00").utc[0]
    assert begins == np.datetime64("2026-05-01T00:30")


def test_midnight_sun_and_polar_night_have_their_light():
    tromso = Place("north", 69.65, 18.96, 10.0, "Europe/Oslo")
    whole = [instants(tromso, date, "00:00", "24:00", 900) for date in ("2026-06-21", "2026-12-21")]
    summer, winter = (sky(tromso, times) for times in whole)
    assert (summer.elevation > 0.0).all() and (summer.global_horizontal > 0.0).all()
    assert (winter.global_horizontal == 0.0).all() and "does not rise" in winter.notes[0]


@pytest.mark.parametrize("date", ["1600-01-01", "2300-01-01", "9999-12-31"])
def test_a_year_beyond_the_clock_is_refused_and_never_turned_into_another(date):
    """64 bits of nanoseconds end in 1678 and 2262: such dates came back as other centuries'."""
    with pytest.raises(ValueError, match="between the years 1700 and 2250"):
        instants(EDGES["Kathmandu"], date)
    far = np.array([date, date], "datetime64[s]") + np.arange(2)
    with pytest.raises(ValueError, match="between the years 1700 and 2250"):
        Instants(far, "UTC")
    assert instants(EDGES["Kathmandu"], "2250-12-31").local[0].year == 2250


@pytest.mark.parametrize("step", [np.nan, "5", 0.5, 7200])
def test_a_wrong_step_is_one_sentence(step):
    with pytest.raises(ValueError, match="step is"):
        instants(EDGES["Kathmandu"], "2026-03-20", step=step)


def test_a_clear_sky_at_4000_metres_is_brighter_and_thinner():
    """Beam rises with height and never passes the sun's own; the air's pressure is the standard 616 hPa."""
    beams = []
    for height in (0.0, 2000.0, 4000.0):
        here = Place("x", -17.0, -68.0, height, "America/La_Paz")
        noon = sky(here, instants(here, "2026-06-21", "11:00", "13:00"))
        beams.append(noon.beam_normal.max())
        last = noon
    assert beams[0] < beams[1] < beams[2] < 1321.0  # 1366 / 1.0163² at aphelion
    assert last.pressure[0] == pytest.approx(61640.0, rel=1e-3)


def test_text_is_no_number():
    with pytest.raises(ValueError, match="latitude is '5'; it must be a number"):
        Place("x", "5", 0.0, 0.0, "UTC")
    with pytest.raises(ValueError, match="oktas is"):
        sky(EDGES["Apia"], pd.date_range("2026-01-01", periods=3, freq="h", tz="UTC"), oktas=1j)
