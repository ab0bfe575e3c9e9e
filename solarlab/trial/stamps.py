"""A logger's time stamps: many ways of writing them, one clock, set right where it ran fast or slow."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
import pandas as pd

from ..sun import zone
from .cells import Unfit

TIME_WORDS = re.compile(r"\b(time|date|timestamp|clock|hora|fecha|heure|saa|tarehe)\b|date|time", re.I)
SERIAL = re.compile(r"[2-6]\d{4}[.,]\d+")  # a spreadsheet's days since 1899-12-30, of the years 1954 to 2091
_UNITS = r"(s|secs?|seconds?|mins?|minutes?)"
ELAPSED = re.compile(
    rf"elapsed|^(t|time)[ _]?[\[(]? ?{_UNITS}[\])]$|^(t|time)?[ _]?{_UNITS}$(?<!^times)", re.I
)
_DATES = ("%Y-%m-%d", "%Y/%m/%d", "%d.%m.%Y", "%d.%m.%y", "%d %b %Y", "%b %d, %Y")
_DAY_FIRST = ("%d/%m/%Y", "%d-%m-%Y", "%d/%m/%y", "%d-%m-%y")
_MONTH_FIRST = ("%m/%d/%Y", "%m-%d-%Y", "%m/%d/%y", "%m-%d-%y")
_CLOCKS = ("%H:%M:%S", "%H:%M", "%I:%M:%S %p", "%I:%M %p", "%H:%M:%S.%f")


def read_stamps(texts: pd.Series, *, date=None, day_first=None) -> pd.Series:
    """Stamps as timestamps, NaT where a cell can't be read; with an offset in the text they are UTC-aware.

    Raises Unfit where no form fits, or two that differ.
    """
    serial = texts.str.strip().str.fullmatch(SERIAL)
    if serial.mean() > 0.5:
        days = pd.to_numeric(texts.where(serial).str.replace(",", ".", regex=False), errors="coerce")
        return pd.to_datetime(days, unit="D", origin="1899-12-30").dt.round("s")
    texts = texts.str.strip().str.replace(r"(?i)\b([ap])\.?\s?m\.?$", r"\1m", regex=True)
    texts = texts.str.replace(r"(?<=\d)(?=[ap]m$)", " ", regex=True)
    if texts.str.fullmatch(r"\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?( [apAP]m)?").mean() > 0.5:
        if date is None:
            raise Unfit("its stamps are times without a date; state the first day (date), such as 2026-02-10")
        return _past_midnight(_best(f"{pd.Timestamp(date).date()} " + texts, ("%Y-%m-%d",)))
    zoned = texts.str.contains(r"\d(?:Z|[+-]\d{2}:?\d{2})$", regex=True)
    if zoned.mean() > 0.5:
        return pd.to_datetime(texts.where(zoned), format="ISO8601", utc=True, errors="coerce")
    found = _best(texts, _DATES)
    if found.notna().mean() > 0.5:
        return found
    by_day, by_month = _best(texts, _DAY_FIRST), _best(texts, _MONTH_FIRST)
    good = [stamps.notna().mean() for stamps in (by_day, by_month)]
    if max(good) <= 0.5:
        raise Unfit(f"its stamps can't be read ({texts.iloc[0]!r}); write them as 2026-02-10 09:30:00")
    if day_first is None and min(good) == max(good) and (by_day != by_month).any():
        first = texts.iloc[0]
        raise Unfit(f"{first!r} may be day/month or month/day; say whether the day comes first (day_first)")
    if day_first is None:
        day_first = good[0] >= good[1]
    return by_day if day_first else by_month


def _best(texts: pd.Series, dates: Sequence[str]) -> pd.Series:
    """The reading that understands most cells."""
    tries = [f"{d}{joint}{c}" for d in dates for joint in (" ", "T") for c in _CLOCKS]
    sample = texts.iloc[:: max(len(texts) // 50, 1)]
    counts = [pd.to_datetime(sample, format=form, errors="coerce").notna().sum() for form in tries]
    return pd.to_datetime(texts, format=tries[int(np.argmax(counts))], errors="coerce")


def _past_midnight(stamps: pd.Series) -> pd.Series:
    """Clock times that fall by more than half a day begin a new one."""
    known = stamps.dropna()
    days = (known.diff() < pd.Timedelta(hours=-12)).cumsum()
    return stamps + pd.to_timedelta(days, unit="D").reindex(stamps.index)


def elapsed_stamps(values: np.ndarray, heading: str, start) -> pd.Series:
    """Stamps from seconds or minutes since ``start``."""
    if start is None:
        raise Unfit("it counts the time from its start; state the start (start), such as 2026-02-10 09:30")
    minutes = re.search(r"min", heading, re.I)
    return pd.Timestamp(start) + pd.to_timedelta(pd.Series(values), unit="min" if minutes else "s")


def to_utc(stamps: pd.Series, timezone: str) -> pd.Series:
    """Local stamps as UTC without a zone; those that were aware keep their moment."""
    if stamps.dt.tz is None:
        # The repeated hour of autumn is taken as its first pass: a log that crosses it at noon is rare.
        ambiguous = np.ones(len(stamps), bool)
        stamps = stamps.dt.tz_localize(zone(timezone), ambiguous=ambiguous, nonexistent="shift_forward")
    return stamps.dt.tz_convert("UTC").dt.tz_localize(None).astype("datetime64[ns]")


def set_right(utc: np.ndarray, clock, timezone: str) -> tuple[np.ndarray, str]:
    """Stamps on the true clock, and a sentence on what was done.

    ``clock``: pairs (what the logger said, what a good clock said), each "HH:MM", "HH:MM:SS" or with a date.
    One pair shifts all stamps alike, two make a straight line; with more the error runs straight from each to
    the next.
    """
    if not clock:
        return utc, ""
    first = pd.Timestamp(utc[0], tz="UTC").tz_convert(zone(timezone))
    pairs = np.array([[_moment(text, first).value for text in pair] for pair in clock], dtype=np.int64)
    said, true = pairs[np.argsort(pairs[:, 0])].T
    origin = utc[0].astype("datetime64[ns]").astype(np.int64)
    ahead = (said - true) / 1e9  # s
    seconds = (said - origin) / 1e9
    now = (utc.astype("datetime64[ns]").astype(np.int64) - origin) / 1e9
    if len(said) == 1 or np.ptp(seconds) == 0.0:
        error = np.full(now.shape, ahead.mean())
        told = f"The logger's clock was {_ahead(ahead.mean())}; all its stamps were shifted."
    else:
        slope, offset = np.polyfit(seconds, ahead, 1)
        error = slope * now + offset if len(said) == 2 else np.interp(now, seconds, ahead)
        told = (
            f"The logger's clock was {_ahead(ahead[0])} at first and {_ahead(ahead[-1])} after "
            f"{np.ptp(seconds) / 3600:.1f} h; its stamps were set right in proportion."
        )
    if np.max(np.abs(error)) > 86400.0:
        raise Unfit("its clock comparisons differ by more than a day; give pairs (logger, true clock)")
    return utc - np.round(error * 1e9).astype("timedelta64[ns]"), told


def _ahead(seconds: float) -> str:
    if abs(seconds) < 30.0:
        return "right"
    return f"{abs(seconds) / 60.0:.0f} min {'fast' if seconds > 0 else 'slow'}"


def _moment(text: str, first: pd.Timestamp) -> pd.Timestamp:
    text = str(text).strip()
    dated = text if re.search(r"\d{4}", text) else f"{first.date()} {text}"
    try:
        moment = pd.Timestamp(dated)
    except ValueError:
        raise Unfit(f"the clock comparison {text!r} can't be read; write 09:30 or 2026-02-10 09:30") from None
    return (moment.tz_localize(first.tz) if moment.tzinfo is None else moment).tz_convert("UTC")
