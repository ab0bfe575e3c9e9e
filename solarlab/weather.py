"""Weather files: TMY3, EPW and PVGIS, looked up at any instant.

Each hour of a file becomes a clear-sky *index*, of beam and of diffuse: what the file says over what a
clear sky gives in that hour.  Between hours the index runs straight and the clear sky does the rest, so
that sunrise and sunset stay where they are and no beam comes from below the horizon.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

import numpy as np

from ._weather_files import FileHours, read_file
from .catalogue import Place
from .cloud import KELVIN, cover_emittance, cover_of
from .sky import clear_sky
from .sun import Instants, instants, sun_vector

STEFAN_BOLTZMANN = 5.670374e-8  # W/(m² K⁴)
WIND_AT_OVEN = float(np.log(1 / 0.03) / np.log(10 / 0.03))  # .60: 10 m mast to 1 m over short grass, log law
NEAR, LEVEL = 50.0, 300.0  # km and m: farther from the file's place than this earns a note
MISFIT = 0.06  # of the global light: more than this between a file's light and its sun earns a note


class Conditions(NamedTuple):
    """What a file says at each instant, ``(..., T)``: light over a clear sky's, °C, m/s, Pa, 0 … 1."""

    beam_index: np.ndarray
    diffuse_index: np.ndarray
    air_temperature: np.ndarray
    wind_speed: np.ndarray
    pressure: np.ndarray
    sky_emittance: np.ndarray


@dataclass(frozen=True, eq=False)
class Weather:
    """Hourly weather of whole days at one place; arrays ``(days, 24)`` on the file's own clock.

    ``source``: the format.  ``dates``: the days, ``datetime64[D]``.  ``utc_offset``: hours the file's
    clock is ahead of UTC.  ``light_at``, ``air_at``: hours after the start of its hour at which a reading
    holds (.5: the mean of the hour).  ``beam_normal``, ``diffuse_horizontal`` [W/m²], ``air_temperature``
    [°C] and ``pressure`` [Pa] as read; ``beam_index``, ``diffuse_index`` over a clear sky's;
    ``wind_speed`` [m/s] *at the oven*, .60 of the mast's (log law over short grass, 1 m against 10 m);
    ``sky_emittance`` from the file's infrared, else its cloud cover, else its light.  ``notes``:
    sentences on what to mistrust.
    """

    place: Place
    source: str
    dates: np.ndarray
    utc_offset: float
    light_at: float
    air_at: float
    beam_normal: np.ndarray
    diffuse_horizontal: np.ndarray
    beam_index: np.ndarray
    diffuse_index: np.ndarray
    air_temperature: np.ndarray
    wind_speed: np.ndarray
    pressure: np.ndarray
    sky_emittance: np.ndarray
    notes: tuple[str, ...] = ()

    def at(self, times: Instants) -> Conditions:
        """The weather at those instants, straight between the hours.

        A date that the file holds is that very day; any other is the same day and month of its latest
        year (29 February may be the 28th).  A date the file has in no year is an error.
        """
        hours = times.utc.view("int64") / 3.6e12 + self.utc_offset
        light, air = self._between(hours - self.light_at), self._between(hours - self.air_at)
        return Conditions(light(self.beam_index), light(self.diffuse_index), air(self.air_temperature),
                          air(self.wind_speed), air(self.pressure), air(self.sky_emittance))

    def instants(self, start: str = "06:00", end: str = "20:00", step: float = 300) -> Instants:
        """Every day of the file as one batch, ``(days, T)``, on the local clock of its place.

        A first or last day that the file holds only in part, its clock not being the local one, is left out.
        """
        made = instants(self.place, self.dates, start, end, step)
        ends = np.floor(made.utc[:, [0, -1]].view("int64") / 8.64e13 + self.utc_offset / 24.0)
        return made[(self._rows(ends.astype(np.int64)) >= 0).all(axis=-1)]

    def notes_for(self, place: Place) -> tuple[str, ...]:
        """The file's notes, and one more if ``place`` lies far from the file's."""
        there = (place.latitude, place.longitude, place.elevation)
        north, east, level = (float(np.ravel(number)[0]) for number in there)
        turn = (east - self.place.longitude + 180.0) % 360.0 - 180.0
        steps = np.hypot(north - self.place.latitude, turn * np.cos(np.radians(north)))
        away, rise = 111.2 * steps, level - self.place.elevation  # km to a degree: a flat Earth will do
        if away <= NEAR and abs(rise) <= LEVEL:
            return self.notes
        told = f"{away:.0f} km away and {abs(rise):.0f} m {'lower' if rise > 0 else 'higher'}"
        return (*self.notes, f"The weather file is for {self.place.name}, {told}.")

    def _between(self, hours: np.ndarray):
        """A function from a table ``(days, 24)`` to its values at ``hours`` since 1970, file's clock."""
        below = np.floor(hours)
        share = hours - below
        below = below.astype(np.int64)
        first = int(below.min()) // 24
        rows = self._rows(np.arange(first, (int(below.max()) + 1) // 24 + 1))
        low, high = (rows[slot // 24 - first] * 24 + slot % 24 for slot in (below, below + 1))
        if min(low.min(), high.min()) < 0:
            lost = (low < 0) & (high < 0)
            if lost.any():
                day = np.datetime64(int(below[lost].flat[0]) // 24, "D")
                raise ValueError(f"The weather file has no {day} in any year; its {len(self.dates)} days run "
                                 f"from {self.dates[0]} to {self.dates[-1]}.")
            low, high = np.where(low < 0, high, low), np.where(high < 0, low, high)  # its first or last hour

        def blend(table: np.ndarray) -> np.ndarray:
            flat = table.ravel()
            start = flat[low]
            return start + (flat[high] - start) * share

        return blend

    def _rows(self, days: np.ndarray) -> np.ndarray:
        """Row of the file for each day since 1970; far below zero where there is none."""
        held = self.dates.astype("datetime64[D]").astype(np.int64)
        order = np.argsort(held)
        same = np.full(13 * 32, -10)
        same[_month_day(self.dates[order])] = order  # the latest year is written last
        leap = _month_day(np.array(["2024-02-28", "2024-02-29"], dtype="datetime64[D]"))
        same[leap[1]] = same[leap[1]] if same[leap[1]] >= 0 else same[leap[0]]
        nearest = np.minimum(np.searchsorted(held[order], days), held.size - 1)
        exact = held[order][nearest] == days
        return np.where(exact, order[nearest], same[_month_day(days.astype("datetime64[D]"))])


def read_weather(path, timezone: str | None = None) -> Weather:
    """A weather file: TMY3, EPW or PVGIS (typical year or hourly, CSV or JSON), told apart by what is
    inside.

    ``timezone``: the clock the place lives by; without it the file's fixed offset stands in.  PVGIS
    hourly files must be for level ground (slope 0), with components.  A gap, a missing reading or a wrong
    column is one clear sentence.
    """
    read, dates = read_file(Path(path))
    where = (float(read.latitude), float(read.longitude), float(read.elevation))
    place = Place(read.name, *where, timezone or _fixed_zone(float(read.utc_offset)))
    grid = {name: read.table[name].to_numpy().reshape(-1, 24) for name in read.table}
    clear_beam, clear_diffuse, up = _clear_hours(place, dates, read)
    whole, beam = np.maximum(grid["global_horizontal"], 0.0), np.maximum(grid["beam"], 0.0)
    diffuse = np.maximum(grid["diffuse_horizontal"], 0.0)
    if read.level_beam:
        beam = np.where(up > 0.01, beam / np.maximum(up, 0.01), 0.0)
    misfit = np.abs(whole - diffuse - beam * up).sum() / max(whole.sum(), 1.0)
    warning = (f"Beam and diffuse of this file do not add up to its global light ({misfit:.0%} off): "
               "its clock or its place may be wrong.")
    notes = (warning,) if misfit > MISFIT else ()
    air = grid["air_temperature"]
    clear = np.maximum(clear_diffuse + clear_beam * up, 1.0)
    guess = cover_of(_carried(whole / clear, clear_diffuse > 20.0))
    cover = grid.get("cover", guess)
    emittance = cover_emittance(air, np.where(np.isnan(cover), guess, cover))
    if "infrared" in grid:
        measured = np.clip(grid["infrared"] / (STEFAN_BOLTZMANN * (air + KELVIN) ** 4), 0.4, 1.0)
        emittance = np.where(np.isnan(measured), emittance, measured)
    # Near the horizon the clear sky gives next to nothing and the ratio means nothing: the next hour's holds.
    beam_index = _carried(np.minimum(beam / np.maximum(clear_beam, 1.0), 1.6), clear_beam > 30.0)
    diffuse_index = _carried(np.minimum(diffuse / np.maximum(clear_diffuse, 1.0), 8.0), clear_diffuse > 5.0)
    return Weather(place, read.kind, dates, float(read.utc_offset), read.light_at, read.air_at, beam, diffuse,
                   beam_index, diffuse_index, air, grid["wind_speed"] * WIND_AT_OVEN, grid["pressure"],
                   emittance, notes)


def _clear_hours(place: Place, dates: np.ndarray, read: FileHours):
    """Clear beam, clear diffuse and height (sine) of the sun in each hour of the file: ``(days, 24)``."""
    count = 6 if read.averaged else 1
    offset = (np.arange(count) + 0.5) / count if read.averaged else np.array([read.light_at])
    hours = (np.arange(24)[:, None] + offset - read.utc_offset).ravel()
    utc = dates.astype("datetime64[ns]")[:, None] + np.round(hours * 3.6e12).astype("timedelta64[ns]")
    times = Instants(utc, place.timezone)
    up = np.maximum(sun_vector(place, times)[..., 2], 0.0).reshape(-1, 24, count)
    beam, diffuse = (light.reshape(-1, 24, count) for light in clear_sky(place, times))
    height = (beam * up).mean(axis=-1) / np.maximum(beam.mean(axis=-1), 1e-9)
    return beam.mean(axis=-1), diffuse.mean(axis=-1), height


def _carried(index: np.ndarray, known: np.ndarray) -> np.ndarray:
    """``index`` where it is ``known``, else that of the nearest known hour (all 1 if there is none)."""
    at, every = np.flatnonzero(known), np.arange(index.size)
    if at.size == 0:
        return np.ones_like(index)
    after = np.minimum(np.searchsorted(at, every), at.size - 1)
    before = np.maximum(after - 1, 0)
    nearest = np.where(np.abs(at[after] - every) < np.abs(every - at[before]), at[after], at[before])
    return index.ravel()[nearest].reshape(index.shape)


def _month_day(dates: np.ndarray) -> np.ndarray:
    months = dates.astype("datetime64[M]")
    return (months.astype(int) % 12 + 1) * 32 + (dates - months).astype(int) + 1


def _fixed_zone(offset: float) -> str:
    """A zone of that many hours from UTC, without daylight saving."""
    if offset in _HALF_HOURS:
        return _HALF_HOURS[offset]
    if offset != round(offset):
        raise ValueError(f"The file's clock is {offset:+g} h from UTC, for which no zone is known here; name "
                         "the place's own, as in read_weather(path, timezone='Australia/Adelaide').")
    return f"Etc/GMT{-round(offset):+d}" if offset else "UTC"  # the database's sign is the other way round


_HALF_HOURS = {-9.5: "Pacific/Marquesas", 3.5: "Asia/Tehran", 4.5: "Asia/Kabul", 5.5: "Asia/Kolkata",
               5.75: "Asia/Kathmandu", 6.5: "Asia/Yangon", 8.75: "Australia/Eucla", 9.5: "Australia/Darwin"}
