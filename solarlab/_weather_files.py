"""Weather files as hours and columns: each format, read through pvlib, brought under one set of names."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from pvlib import iotools

from .sun import station_pressure

ACCEPTED = "a TMY3 file (.csv), an EPW file (.epw) or a PVGIS file (typical year or hourly, .csv or .json)"
LIMITS = {  # what a good reading lies within; the formats' marks for "missing" all lie outside
    "global_horizontal": (-5, 1600), "beam": (-5, 1500), "diffuse_horizontal": (-5, 1000),
    "air_temperature": (-70, 60), "wind_speed": (0, 60), "pressure": (45_000, 110_000),
}


@dataclass(frozen=True)
class FileHours:
    """A file as read.  ``table``: whole days of hours on the file's own clock, columns as in ``LIMITS``
    [W/m², °C, m/s at the mast, Pa] and, where the file has them, ``infrared`` [W/m²] and ``cover`` (0 …
    1), NaN if unknown.

    ``light_at``, ``air_at``: hours after the start of its hour at which a reading holds; ``averaged``:
    whether light is the mean of the hour; ``level_beam``: whether beam is on level ground instead of
    facing the sun.
    """

    kind: str
    table: pd.DataFrame
    name: str
    latitude: float
    longitude: float
    elevation: float
    utc_offset: float
    light_at: float
    air_at: float
    averaged: bool
    level_beam: bool = False


class Unfit(Exception):
    """Why a file will not do, worded to follow its name."""


def read_file(path: Path) -> tuple[FileHours, np.ndarray]:
    """The hours of a file and their dates; one clear sentence if it is unknown, damaged or torn."""
    if not path.is_file():
        raise FileNotFoundError(f"There is no weather file {path.name} in {path.parent.name or '.'}.")
    try:
        kind = _kind(path)
        reader = _READERS[kind]
    except (UnicodeDecodeError, json.JSONDecodeError, KeyError, TypeError):
        raise ValueError(f"{path.name} is not a weather file of a known kind; give {ACCEPTED}.") from None
    try:
        hours = reader(path)
        return hours, _whole_days(hours.table)
    except Unfit as reason:
        raise ValueError(f"{path.name} is read as {kind} but {reason}.") from None
    except KeyError as missing:
        raise ValueError(f"{path.name} is read as {kind} but has no column {missing}.") from None
    except Exception as error:  # a damaged file breaks readers in many ways; people need one sentence
        raise ValueError(f"{path.name} is read as {kind} but is damaged: {_one_line(error)}.") from error


def _kind(path: Path) -> str:
    if path.suffix.lower() == ".json":
        outputs = json.loads(path.read_text(encoding="utf-8"))["outputs"]
        kinds = {"tmy_hourly": "PVGIS typical year", "hourly": "PVGIS hourly"}
        return next((kind for name, kind in kinds.items() if name in outputs), "unknown")
    with path.open(encoding="utf-8") as lines:
        head = [next(lines, "") for _ in range(40)]
    if head[0].startswith("LOCATION,"):
        return "EPW"
    if head[1].startswith("Date (MM/DD/YYYY)"):
        return "TMY3"
    marks = {"time(UTC)": "PVGIS typical year", "time": "PVGIS hourly"}
    found = [marks[first] for line in head if (first := line.split(",")[0]) in marks]
    return found[0] if found and head[0].startswith("Latitude") else "unknown"


def _tmy3(path: Path) -> FileHours:
    data, about = iotools.read_tmy3(path, map_variables=True)
    # The reader moves the last hour of 28 February in a leap year to March; the file's own columns don't.
    clock = data["Time (HH:MM)"].str.slice(0, 2).astype(int)
    dates = pd.to_datetime(data["Date (MM/DD/YYYY)"], format="%m/%d/%Y")
    table = _named(data, (dates + pd.to_timedelta(clock - 1, unit="h")).to_numpy(), beam="dni",
                   pressure=data["pressure"] * 100.0,
                   cover=data["TotCld (tenths)"].where(data["TotCld (tenths)"].between(0, 10)) / 10.0)
    return FileHours("TMY3", table, about["Name"].strip().strip('"'), about["latitude"], about["longitude"],
                     about["altitude"], about["TZ"], light_at=0.5, air_at=1.0, averaged=True)


def _epw(path: Path) -> FileHours:
    data, about = iotools.read_epw(path)
    table = _named(data, data.index.tz_localize(None), beam="dni", pressure=data["atmospheric_pressure"],
                   infrared=data["ghi_infrared"].where(data["ghi_infrared"].between(50, 900)),
                   cover=data["total_sky_cover"].where(data["total_sky_cover"].between(0, 10)) / 10.0)
    where = (about["city"], about["latitude"], about["longitude"], about["altitude"])
    with path.open(encoding="utf-8") as lines:
        head = [next(lines, "") for _ in range(8)]
    offset = next((line.rsplit(":", 1)[1] for line in head if "Irradiance Time Offset" in line), None)
    if offset is None:
        return FileHours("EPW", table, *where, about["TZ"], light_at=0.5, air_at=1.0, averaged=True)
    # PVGIS writes UTC hours into its EPW files, whatever zone their header names, and light of one moment.
    return FileHours("EPW", table, *where, 0.0, light_at=1.0 + float(offset), air_at=0.0, averaged=False)


def _pvgis_year(path: Path) -> FileHours:
    data, about = iotools.read_pvgis_tmy(path, pvgis_format=_format(path), map_variables=True)
    where = about["inputs"].get("location", about["inputs"])
    offset = where.get("irradiance_time_offset", where.get("irradiance time offset", 0.0))
    table = _named(data.astype(float), data.index.tz_localize(None), beam="dni", pressure=data["pressure"],
                   infrared=data["IR(h)"])
    return FileHours("PVGIS typical year", table, "the PVGIS point", where["latitude"], where["longitude"],
                     where["elevation"], 0.0, light_at=float(offset), air_at=0.0, averaged=False)


def _pvgis_hourly(path: Path) -> FileHours:
    data, about = iotools.read_pvgis_hourly(path, pvgis_format=_format(path), map_variables=True)
    inputs = about["inputs"]
    where = inputs.get("location", inputs)
    slope = inputs.get("Slope", "")
    if "mounting_system" in inputs:
        slope = str(inputs["mounting_system"].get("fixed", {}).get("slope", {}).get("value", ""))
    if not slope.startswith("0") or "poa_direct" not in data:
        raise Unfit("must hold beam and diffuse on level ground: ask for slope 0 and radiation components")
    stamps = data.index.tz_localize(None)
    minute = int(stamps[0].minute)
    data = data.assign(ghi=data["poa_direct"] + data["poa_sky_diffuse"], dhi=data["poa_sky_diffuse"],
                       pressure=float(station_pressure(where["elevation"])))
    table = _named(data, stamps.floor("h"), beam="poa_direct", pressure=data["pressure"])
    return FileHours("PVGIS hourly", table, "the PVGIS point", where["latitude"], where["longitude"],
                     where["elevation"], 0.0, light_at=minute / 60.0, air_at=0.0, averaged=minute == 30,
                     level_beam=True)


_READERS = {"TMY3": _tmy3, "EPW": _epw, "PVGIS typical year": _pvgis_year, "PVGIS hourly": _pvgis_hourly}


def _format(path: Path) -> str:
    return "json" if path.suffix.lower() == ".json" else "csv"


def _named(data: pd.DataFrame, hours, *, beam: str, **more) -> pd.DataFrame:
    """pvlib's columns under our names, on the file's own clock."""
    columns = {"global_horizontal": data["ghi"], "beam": data[beam], "diffuse_horizontal": data["dhi"],
               "air_temperature": data["temp_air"], "wind_speed": data["wind_speed"], **more}
    return pd.DataFrame({name: column.to_numpy(dtype=float) for name, column in columns.items()},
                        index=pd.DatetimeIndex(hours))


def _whole_days(table: pd.DataFrame) -> np.ndarray:
    """The dates of a table, which must be whole days, none missing inside a month, all readings there."""
    stamps = table.index.to_numpy().astype("datetime64[h]")
    if stamps.size == 0 or np.isnat(stamps).any():
        raise Unfit("breaks off before its end" if stamps.size else "holds no hours")
    hours = (np.arange(stamps.size) % 24).astype("timedelta64[h]")
    expected = stamps.astype("datetime64[D]") + hours
    torn = np.flatnonzero(stamps != expected)
    if torn.size or stamps.size % 24:
        at = expected[torn[0]] if torn.size else stamps[-1] + np.timedelta64(1, "h")
        raise Unfit(f"has a gap: the hour from {str(at).replace('T', ' ')}:00 is missing or out of order")
    dates = stamps[::24].astype("datetime64[D]")
    # A typical year is stitched from months of several years: a jump may only lead to the first of a month.
    jump = np.diff(dates) != np.timedelta64(1, "D")
    bad = jump & (dates[1:] != dates[1:].astype("datetime64[M]"))
    bad |= jump & (dates[:-1] + 1 != (dates[:-1] + 1).astype("datetime64[M]")) & ~_is_28_february(dates[:-1])
    if bad.any():
        raise Unfit(f"has a gap: days are missing between {dates[:-1][bad][0]} and {dates[1:][bad][0]}")
    for name, (low, high) in LIMITS.items():
        wrong = ~table[name].between(low, high).to_numpy()
        if wrong.any():
            raise Unfit(f"has a gap: the {name.replace('_', ' ')} is missing or impossible in the hour from "
                        f"{table.index[wrong][0]:%Y-%m-%d %H:%M} (in {wrong.sum()} hours in all)")
    return dates


def _is_28_february(dates: np.ndarray) -> np.ndarray:
    months = dates.astype("datetime64[M]")
    return (months.astype(int) % 12 == 1) & ((dates - months).astype(int) == 27)


def _one_line(error: Exception) -> str:
    return " ".join(str(error).split()).rstrip(".")[:160] or type(error).__name__
