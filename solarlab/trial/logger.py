"""A logger's CSV as temperatures, light and wind on one even clock.  Knows nothing of ovens or of the sun."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from ..sun import Instants, zone
from . import cells, stamps
from .cells import Unfit, listed

LIMITS = {"irradiance": (-20.0, 1800.0, "W/m²"), "wind": (0.0, 60.0, "m/s")}
TEMPERATURES = (-40.0, 300.0, "°C")
WARMEST_SHADE = 55.0  # °C: a shade hotter than this by half of its readings is in °F
NEXT = 2.5  # steps: two readings further apart than this have a gap between them
LONGEST = 1_000_000  # instants: beyond this some stamp is wrong
_EVEN = np.array([n for n in range(1, 601) if 600 % n == 0])  # s, preferred steps: whole parts of 10 minutes
SPIKE = 10.0  # K off both neighbours, while those agree within a third of it: a loose wire


@dataclass(frozen=True, eq=False)
class Log:
    """What a logger recorded, on an even clock; NaN where it did not.

    ``channels``: heading to readings ``(T,)``, °C.  ``roles``: which of them are "water", "air" (in the
    shade), "cavity" and "glass".  ``irradiance`` [W/m²] and ``wind`` [m/s] ``(T,)``, or None; ``plane``: the
    light sensor lay "level" or faced the "sun", None if nobody said.  ``notes``: what was done to the file.
    """

    name: str
    times: Instants
    channels: Mapping[str, np.ndarray]
    roles: Mapping[str, tuple[str, ...]]
    irradiance: np.ndarray | None = None
    plane: str | None = None
    wind: np.ndarray | None = None
    notes: tuple[str, ...] = ()

    def temperature(self, role: str) -> np.ndarray | None:
        """Mean over the channels of that role, °C ``(T,)``, NaN where one is missing; None without any."""
        names = self.roles.get(role, ())
        return np.mean([self.channels[name] for name in names], axis=0) if names else None

    def needs(self, *roles: str) -> None:
        """Raise ValueError, in one sentence, unless the log has all of these."""
        have = {"irradiance": self.irradiance is not None, "wind": self.wind is not None}
        lacking = [role for role in roles if not have.get(role, bool(self.roles.get(role)))]
        if lacking:
            raise ValueError(
                f"{self.name} has no {lacking[0]}, only {listed(self.channels)}; if one of its headings "
                "means that, say so (columns)."
            )

    def days(self) -> tuple[Log, ...]:
        """The log cut at local midnights and trimmed to the instants that have a temperature."""
        dates = self.times.local.date
        known = np.isfinite(list(self.channels.values())).any(axis=0)
        parts = [np.flatnonzero((dates == date) & known) for date in dict.fromkeys(dates)]
        return tuple(self.part(rows[0], rows[-1] + 1) for rows in parts if rows.size > 1)

    def part(self, first: int, end: int) -> Log:
        """The instants ``first`` to before ``end``."""
        return self._each(lambda row: row[first:end], self.times.utc[first:end])

    def every(self, seconds: float) -> Log:
        """The same log in means over at least ``seconds``, each stamped at the middle of what it covers."""
        count = max(1, round(seconds / self.times.step))
        size = self.times.shape[-1] // count
        if count == 1 or size < 2:
            return self
        shift = np.timedelta64(round((count - 1) / 2 * self.times.step * 1e9), "ns")
        utc = self.times.utc[: size * count : count] + shift
        return self._each(lambda row: row[: size * count].reshape(size, count).mean(axis=1), utc)

    def _each(self, change, utc) -> Log:
        channels = {name: change(row) for name, row in self.channels.items()}
        light, wind = (None if row is None else change(row) for row in (self.irradiance, self.wind))
        times = Instants(utc, self.times.timezone)
        return replace(self, times=times, channels=channels, irradiance=light, wind=wind)


def read_log(source, timezone: str, *, unit=None, columns=None, plane=None, date=None, start=None,
             day_first=None, clock=()) -> Log:  # fmt: skip
    """Read a logger's CSV: ``source`` is a path, the text itself or its bytes; ``timezone`` is its clock's.

    Delimiter, decimal sign, form of the stamps and what each column is are found in the file.  Where it
    leaves one open, the error says in a sentence what to add: ``unit`` "°C" or "°F" where headings are
    silent; ``columns`` such as ``{"water": ["T1", "T2"], "air": "T3"}`` (water, air, cavity, glass,
    irradiance, wind); ``plane`` "level" or "sun", how the light sensor stood; ``date`` or ``start`` where
    stamps lack them; ``day_first`` for 03/04/2026; ``clock``, pairs of what the logger and a good clock said:
    two take out a drift.

    Missing readings stay missing (NaN) and are told in ``notes``; nothing is filled in.
    """
    name, text = cells.text_of(source)
    try:
        zone(timezone)
        if plane not in (None, "level", "sun"):
            raise Unfit(f"plane is {plane!r}; it is 'level' or 'sun', as the light sensor stood")
        if unit not in (None, "°C", "°F"):
            raise Unfit(f"unit is {unit!r}; it is '°C' or '°F'")
        header, rows, notes = cells.table_of(text)
        chosen = _chosen(columns or {}, header)
        timed = _time_headings(header, rows, chosen)
        utc, order = _moments(rows, timed, timezone, date, start, day_first, clock, notes)
        times = _even(utc, timezone, notes)
        read = {}
        for heading in header:
            role = chosen[heading] if heading in chosen else cells.role_of(heading)
            if heading in timed or not (role or cells.unit_of(heading)):
                continue
            values = _readings(heading, role, rows[heading], unit, notes)
            if values is not None:
                values = _unspiked(heading, values[order], role, notes)
                read[heading] = role, _gridded(times, utc, values)
        return _log(name, header, timed, times, read, plane, notes)
    except Unfit as reason:
        raise ValueError(f"{name}: {reason}.") from None


def _chosen(columns, header) -> dict[str, str | None]:
    """Heading to role as stated; None for headings that a stated role leaves out."""
    chosen = {}
    for role, names in columns.items():
        if role not in cells.ROLES:
            raise Unfit(f"columns knows no {role!r}; it takes {', '.join(cells.ROLES)}")
        for name in [names] if isinstance(names, str) else names:
            if name not in header:
                raise Unfit(f"there is no heading {name!r}; there are {listed(header)}")
            chosen[name] = role
    for heading in header:
        if heading not in chosen and cells.role_of(heading) in columns:
            chosen[heading] = None
    return chosen


def _time_headings(header, rows, chosen) -> list[str]:
    """The heading of the stamps, or those of date and time."""
    free = [h for h in header if not chosen.get(h) and not cells.unit_of(h)]
    named = [h for h in free if stamps.TIME_WORDS.search(h) and not stamps.ELAPSED.search(h)]
    if named:
        serial = [h for h in named if rows[h].str.fullmatch(stamps.SERIAL).mean() > 0.5]
        if serial:
            return serial[:1]
        dates = [h for h in named if rows[h].str.contains(r"\d[-/.]\d", regex=True).mean() > 0.5]
        whole = [h for h in dates if rows[h].str.contains(":", regex=False).mean() > 0.5]
        if whole:
            return whole[:1]
        clocks = [h for h in named if h not in dates and rows[h].str.contains(":", regex=False).mean() > 0.5]
        if clocks:
            return [*dates[:1], clocks[0]]
    elapsed = [h for h in free if stamps.ELAPSED.search(h)]
    if elapsed:
        return elapsed[:1]
    first = [h for h in free if rows[h].str.contains(r"\d[:]\d", regex=True).mean() > 0.5]
    if first:
        return first[:1]
    raise Unfit(f"no column holds the time; of its headings, {listed(header)}, one must be “time”")


def _moments(rows, timed, timezone, date, start, day_first, clock, notes):
    """UTC moments in rising order, and the rows they belong to."""
    if stamps.ELAPSED.search(timed[0]) and not rows[timed[0]].str.contains(":", regex=False).any():
        read = stamps.elapsed_stamps(cells.numbers(rows[timed[0]])[0], timed[0], start)
    else:
        read = stamps.read_stamps(rows[timed].agg(" ".join, axis=1), date=date, day_first=day_first)
    utc = stamps.to_utc(read, timezone).to_numpy()
    order = np.flatnonzero(~np.isnat(utc))
    if order.size < 3:
        raise Unfit("fewer than three of its stamps can be read")
    if order.size < utc.size:
        notes.append(f"Rows without a readable stamp, left out: {utc.size - order.size}.")
    back = (np.diff(utc[order]) < np.timedelta64(0)).sum()
    if back:
        notes.append(f"The stamps jump back ({back} times); the rows were put in order.")
    order = order[np.argsort(utc[order], kind="stable")]
    fresh = np.r_[True, np.diff(utc[order]) > np.timedelta64(0)]
    if not fresh.all():
        notes.append(f"Rows that repeat the stamp before them, left out: {(~fresh).sum()}.")
    order = order[fresh]
    if order.size < 3:
        raise Unfit("fewer than three of its stamps differ")
    right, told = stamps.set_right(utc[order], clock, timezone)
    notes += [told] if told else []
    return right, order


def _even(utc, timezone, notes) -> Instants:
    """An even clock from the first stamp to the last, at their usual spacing."""
    apart = np.diff(utc) / np.timedelta64(1, "s")
    inside = apart[apart < 1.5 * np.median(apart)]
    usual = float(inside.mean())
    even = _EVEN[np.argmin(np.abs(_EVEN - usual))]
    step = int(even) if abs(even / usual - 1.0) < 0.03 else max(round(usual), 1)
    span = float((utc[-1] - utc[0]) / np.timedelta64(1, "s"))
    count = int(span // step) + 1
    if count > LONGEST:
        first, last = (str(end.astype("datetime64[s]")).replace("T", " ") for end in (utc[0], utc[-1]))
        raise Unfit(
            f"its stamps run from {first} to {last} UTC in steps of {usual:g} s; was the logger's clock "
            "reset?"
        )
    if np.ptp(inside) > 0.02 * usual:
        notes.append(
            f"The stamps are {inside.min():.0f} to {inside.max():.0f} s apart; readings were brought to an "
            f"even {step} s."
        )
    if count < 3:
        raise Unfit(f"it covers {span:.0f} s, too short to use")
    return Instants(utc[0] + np.arange(count) * np.timedelta64(step, "s"), timezone)


def _readings(heading, role, column, unit, notes):
    """A column in °C, W/m² or m/s, NaN where a reading is impossible; None if it holds no numbers."""
    values, strange = cells.numbers(column)
    if np.isfinite(values).sum() < 2:
        notes.append(f"“{heading}” holds no numbers and was left out.")
        return None
    if strange:
        notes.append(f"Cells of “{heading}” that are not numbers, taken as missing: {strange}.")
    if role in LIMITS:
        low, high, name = LIMITS[role]
        values = values * cells.scale_of(heading, role)
    else:
        low, high, name = TEMPERATURES
        said = cells.unit_of(heading)
        if said and unit and said != unit:
            raise Unfit(f"“{heading}” says {said} but {unit} was stated; leave one of them out")
        if not (said or unit):
            raise Unfit(f"the heading “{heading}” says neither °C nor °F; state it (unit)")
        if (said or unit) == "°F":
            values = (values - 32.0) / 1.8
        elif role == "air" and np.nanmedian(values) > WARMEST_SHADE:
            raise Unfit(f"“{heading}” is {np.nanmedian(values):.0f} °C by half of its readings; is it in °F?")
    wild = (values < low) | (values > high)
    if wild.any():
        notes.append(
            f"Readings of “{heading}” beyond {low:g} to {high:g} {name}, taken as missing: {wild.sum()}."
        )
        if (np.isfinite(values) & ~wild).sum() < 2:
            return None
    return np.where(wild, np.nan, values)


def _unspiked(heading, values, role, notes):
    if role in LIMITS or values.size < 3:
        return values
    before, middle, after = values[:-2], values[1:-1], values[2:]
    off = np.minimum(np.abs(middle - before), np.abs(middle - after))
    spike = (off > SPIKE) & (np.abs(after - before) < SPIKE / 3)
    if not spike.any():
        return values
    notes.append(
        f"Readings of “{heading}” that leapt more than {SPIKE:g} K and back, taken as missing: {spike.sum()}."
    )
    return np.concatenate([values[:1], np.where(spike, np.nan, middle), values[-1:]])


def _gridded(times: Instants, utc, values) -> np.ndarray:
    """Values straight between readings that are near each other, on the even clock; NaN in gaps."""
    known = np.isfinite(values)
    at = (utc[known] - times.utc[0]) / np.timedelta64(1, "s")
    now = np.arange(times.shape[-1]) * times.step
    after = np.clip(np.searchsorted(at, now), 1, at.size - 1)
    near = at[after] - at[after - 1] <= NEXT * times.step
    met = np.isclose(now[:, None], at[[after - 1, after]].T, rtol=0, atol=0.5).any(axis=1)
    inside = (now >= at[0] - 0.5) & (now <= at[-1] + 0.5)
    return np.where(inside & (near | met), np.interp(now, at, values[known]), np.nan)


def _gaps(times: Instants, columns) -> list[str]:
    """Sentences on runs of missing readings, those of all columns first."""
    missing = {heading: np.isnan(row) for heading, (_, row) in columns.items()}
    whole = np.logical_and.reduce(list(missing.values()))
    told = _runs(times, whole, "All columns")
    for heading, rows in missing.items():
        told += _runs(times, rows & ~whole, f"“{heading}”")
    return told


def _runs(times, missing, what) -> list[str]:
    edges = np.flatnonzero(np.diff(np.r_[False, missing, False]))
    runs = sorted(zip(edges[::2], edges[1::2], strict=True), key=lambda run: run[0] - run[1])
    if not runs:
        return []
    clock = times.local
    told = [
        f"{what}: no readings from {clock[a]:%Y-%m-%d %H:%M} for {(b - a) * times.step / 60:.0f} min."
        for a, b in runs[:3]
    ]
    return told + [f"{what}: {len(runs) - 3} shorter gaps."] * (len(runs) > 3)


def _log(name, header, timed, times, columns, plane, notes) -> Log:
    roles: dict[str | None, list[str]] = {}
    for heading, (role, _) in columns.items():
        roles.setdefault(role, []).append(heading)
    for role in LIMITS:
        if len(roles.get(role, ())) > 1:
            raise Unfit(f"{listed(roles[role])} may all be {role}; choose one (columns)")
    warm = {heading: row for heading, (role, row) in columns.items() if role not in LIMITS}
    if not warm:
        raise Unfit(f"no heading names a temperature; say which is water (columns), of {listed(header)}")
    notes += _gaps(times, columns)
    read = {"glass": "temperature of the glass"}  # a word that may mean a pot, too
    notes += [f"Read as {read.get(r, r)}: {listed(roles[r])}." for r in cells.ROLES if r in roles]
    idle = [heading for heading in header if heading not in columns and heading not in timed]
    notes += [f"Not used: {listed([*roles.get(None, []), *idle])}."] if idle or None in roles else []
    light, wind = (columns[roles[role][0]][1] if role in roles else None for role in LIMITS)
    if light is not None:
        plane = plane or cells.plane_of(roles["irradiance"][0])
    known = {role: tuple(names) for role, names in roles.items() if role and role not in LIMITS}
    return Log(name, times, warm, known, light, plane, wind, tuple(notes))
