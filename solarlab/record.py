"""The record of predictions: what you expected, how sure you were, and how it came out.

One small JSON file a prediction, in the learner's own folder, written whole or not at all.  A run unlocks
only after its prediction is recorded; until then ``unlock`` gives a value that says so, and never an
exception, so a lesson reads and runs untouched.  The reader ``EXAMPLE`` of the printed lessons is never
stored.

How sure you are is said in words, each with the chance it stands for.  Over the course those chances are held
against what happened: that is calibration.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import pandas as pd

from ._reading import Unreadable, blank, number, plain
from ._shelf import FOLDER, home
from .exercises import learner
from .table import Table

SURENESS = {"a guess": 0.35, "fairly sure": 0.65, "quite sure": 0.9}  # ours: chance of being right
EXAMPLE = "example"
WORDS = ("question", "who", "unit", "made", "remark", "title")  # a prediction's fields of text


@dataclass(frozen=True)
class Waiting:
    """What stands in for a prediction, and for the run behind it, until the prediction is made."""

    why: str

    def __str__(self) -> str:
        return f"… {self.why}"

    __repr__ = __str__

    def __bool__(self) -> bool:
        return False


@dataclass(frozen=True)
class Prediction:
    """One prediction.  ``value`` is a number in ``unit`` or a word; ``within`` is how far off a number still
    counts.

    ``sure`` is a key of SURENESS and ``chance`` what it stands for, 0..1.  ``outcome`` is ``None`` until
    seen. ``remark`` is said once, when something about it needs saying; it is not stored.  ``title`` is what
    a reader of the record sees instead of ``question``, which only names the file.
    """

    question: str
    who: str
    value: float | str
    sure: str
    chance: float
    unit: str = ""
    within: float = 0.0
    made: str = ""
    outcome: float | str | None = None
    remark: str = ""
    title: str = ""

    @property
    def asked(self) -> str:
        """The title; without one the question's own name, in words."""
        words = self.question.replace("/", ": ").replace("-", " ").strip()
        return self.title.strip() or words[:1].upper() + words[1:]

    @property
    def right(self) -> bool | None:
        """Whether it held; ``None`` before the outcome is seen."""
        if self.outcome is None:
            return None
        if isinstance(self.value, str) or isinstance(self.outcome, str):
            return self.value == self.outcome
        return abs(self.value - self.outcome) <= self.within

    def __str__(self) -> str:
        said = f"Written down: {_shown(self.value, self.unit)}, {self.sure} ({self.chance:.0%})."
        if self.outcome is not None:
            band = f" (within {_shown(self.within, self.unit)} counts)" if self.within else ""
            said += f" It came out as {_shown(self.outcome, self.unit)}: "
            said += ("your prediction held" if self.right else "it did not hold") + f"{band}."
        return f"{said} {self.remark}".strip()

    __repr__ = __str__


@dataclass(frozen=True)
class Record:
    """A learner's predictions, oldest first; ``notes`` tell of files that could not be read and where they
    went.
    """

    predictions: tuple[Prediction, ...]
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Calibration:
    """How good, and how well judged.

    ``levels``: a row for each word of SURENESS used: sure, stated [%], right [%], low and high [%] (95 %
    range that so few predictions allow, Wilson 1927), predictions.  ``held`` of ``settled`` came true.
    ``score`` is the mean squared miss of the stated chance (Brier 1950): 0 perfect, .25 what "fifty-fifty" on
    everything earns.
    """

    levels: pd.DataFrame
    held: int
    settled: int
    score: float

    def __str__(self) -> str:
        if not self.settled:
            return "No prediction has come out yet."
        rows = [
            f"“{row.sure}” ({row.stated:.0f} %): right {row.right:.0f} % of {row.predictions}."
            for row in self.levels.itertuples()
        ]
        rows.append(f"In all {self.held} of {self.settled} held; score {self.score:.2f} (0 is perfect).")
        return " ".join(rows)

    __repr__ = __str__


def predict(
    question: str, who: str, value: object, sure: object, *, unit: str = "", within: float = 0.0,
    choices: Iterable[str] = (), title: str = "", folder: str | os.PathLike | None = None,
) -> Prediction | Waiting:  # fmt: skip
    """Record a prediction.  Until its outcome was seen it may be changed; after that the one you made stands.

    ``value``: a number (or text such as ``"70 min"``) in ``unit``, or one of ``choices``; ``sure``: a key of
    SURENESS; ``title``: what the record calls it.  What is missing or cannot be read gives a Waiting that
    says what to do.  Never raises on either.  With nothing typed, the prediction already kept, from a form or
    another day, is found again.
    """
    if not 0.0 <= float(within) < float("inf"):
        raise ValueError(f"within is {within!r}; how far off still counts is a number from 0 up.")
    value, sure, note = plain(value), plain(sure), ""
    if blank(value) and blank(sure) and learner(who) != EXAMPLE:
        kept, note = _load(_path(question, who, folder))
        if kept is not None:
            return kept
    words = ", ".join(f'"{word}"' for word in SURENESS)
    if blank(value) or blank(sure):
        lacks = "your prediction" if blank(value) else f"how sure you are: {words}"
        return Waiting(f"Not attempted yet: write {lacks}, then run this cell. {note}".strip())
    choices = tuple(choices)
    try:
        value = _one_of(value, choices) if choices else number(value, unit)
        sure = _one_of(sure, tuple(SURENESS))
    except Unreadable as error:
        return Waiting(f"Cannot read: {error}")
    who = learner(who)
    made = datetime.now(UTC).isoformat(timespec="seconds")
    new = Prediction(question, who, value, sure, SURENESS[sure], unit, float(within), made, title=title)
    if who == EXAMPLE:
        return new
    old, note = _load(_path(question, who, folder))
    if old is not None and old.outcome is not None:
        same = (old.value, old.sure) == (value, sure)
        return old if same else replace(old, remark="You have seen the answer: your first prediction stands.")
    if old is not None and (old.value, old.sure) == (value, sure):
        return old
    return replace(new, remark=" ".join(filter(None, (note, _store(new, folder)))))


def unlock(prediction: Prediction | Waiting, run: Callable[[], object]) -> object:
    """``run()`` once a prediction is recorded; until then a Waiting, whatever else was asked."""
    if isinstance(prediction, Prediction):
        return run()
    return Waiting("Locked: make your prediction above first.")


def settle(
    prediction: Prediction | Waiting, outcome: float | str | None, folder: str | os.PathLike | None = None
) -> Prediction | Waiting:
    """Hold a prediction against what happened, and keep that.  The first outcome stands.

    What lies on disk counts: the same lesson may be open a second time, and have gone on there.
    """
    if not isinstance(prediction, Prediction):
        return Waiting("Locked: make your prediction above first.")
    if outcome is None or prediction.outcome is not None:
        return prediction
    outcome = outcome if isinstance(outcome, str) else float(outcome)
    if prediction.who == EXAMPLE:
        return replace(prediction, outcome=outcome, remark="")
    kept, _ = _load(_path(prediction.question, prediction.who, folder))
    if kept is not None and kept.outcome is not None:
        return kept
    seen = replace(kept or prediction, outcome=outcome, remark="")
    return replace(seen, remark=_store(seen, folder))


def record(who: str, folder: str | os.PathLike | None = None) -> Record:
    """All predictions of one learner.

    A damaged file is renamed and kept; a file whose name does not fit what is in it, such as the second copy
    that a synced folder makes of one changed on two computers, is left as it is.  Neither counts; ``notes``
    tell of both.
    """
    found, notes = [], []
    for path in sorted(_folder(who, folder).glob("*.json")):
        prediction, note = _load(path)
        if prediction is not None and path != _path(prediction.question, who, folder):
            note = f"{path.name} is a copy of “{prediction.asked}” under another name; it does not count."
        elif prediction is not None:
            found.append(prediction)
        if note:
            notes.append(note)
    return Record(tuple(sorted(found, key=lambda p: (p.made, p.question))), tuple(notes))


def calibration(predictions: Iterable[Prediction]) -> Calibration:
    """Score settled predictions for accuracy and for calibration."""
    settled = [p for p in predictions if p.right is not None]
    rows = []
    for sure, chance in SURENESS.items():
        group = [p.right for p in settled if p.sure == sure]
        if group:
            low, high = _wilson(sum(group), len(group))
            rows.append((sure, 100 * chance, 100 * sum(group) / len(group), low, high, len(group)))
    columns = ["sure", "stated", "right", "low", "high", "predictions"]
    score = sum((p.chance - p.right) ** 2 for p in settled) / len(settled) if settled else float("nan")
    levels = pd.DataFrame(rows, columns=columns)
    return Calibration(levels, sum(p.right for p in settled), len(settled), score)


def picture(predictions: Iterable[Prediction], draw: Callable) -> object:
    """How sure against how often right, drawn by ``draw(stated, right, counts)`` (`figures.calibration`).

    Until something has come out, a Waiting.
    """
    found = calibration(predictions)
    if not found.settled:
        return Waiting("No prediction has come out yet.")
    return draw(found.levels.stated, found.levels.right, found.levels.predictions)


def table(predictions: Iterable[Prediction]) -> Table:
    """One row a prediction, as a learner reads it."""
    held = {True: "held", False: "did not hold", None: "not seen yet"}
    rows = [
        (p.asked, _shown(p.value, p.unit), f"{p.sure} ({p.chance:.0%})",
         "–" if p.outcome is None else _shown(p.outcome, p.unit), held[p.right])
        for p in predictions
    ]  # fmt: skip
    columns = ["question", "predicted", "how sure", "came out", "result"]
    return Table(pd.DataFrame(rows, columns=columns), "Your predictions")


def _wilson(right: int, count: int) -> tuple[float, float]:
    """95 % interval of a proportion, in %."""
    z, share = 1.96, right / count
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z / (1 + z * z / count) * (share * (1 - share) / count + z * z / (4 * count * count)) ** 0.5
    return max(0.0, 100 * (middle - half)), min(100.0, 100 * (middle + half))


def _one_of(value: object, words: tuple[str, ...]) -> str:
    said = value.strip().casefold() if type(value) is str else ""
    for word in words:
        if said == word.casefold():
            return word
    listed = ", ".join(f'"{word}"' for word in words)
    raise Unreadable(f"write one of {listed}.")


def _shown(value: float | str, unit: str) -> str:
    return value if isinstance(value, str) else f"{value:.3g} {unit}".strip()


def _folder(who: str, folder: str | os.PathLike | None) -> Path:
    return home(folder) / FOLDER / _file_name(learner(who))


def _path(question: str, who: str, folder: str | os.PathLike | None) -> Path:
    return _folder(who, folder) / f"{_file_name(question)}.json"


def _file_name(text: str) -> str:
    """A name any file system takes; a digest keeps apart what the tidying would merge."""
    tidy = re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")[:40]
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()[:6]
    return f"{tidy or 'x'}-{digest}"


def _store(prediction: Prediction, folder: str | os.PathLike | None) -> str:
    """Write the file under another name, then give it its own; a sentence if the disk refuses."""
    path = _path(prediction.question, prediction.who, folder)
    fields = asdict(prediction)
    del fields["remark"]
    part = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            json.dump(fields, file, indent=1, sort_keys=True, allow_nan=False)
            file.flush()
            os.fsync(file.fileno())
        os.replace(part, path)
        part = None
    except OSError as error:
        return f"It could not be kept on disk ({error.strerror}), so it counts for this session only."
    finally:
        if part is not None:
            with contextlib.suppress(OSError):
                os.unlink(part)
    return ""


def _load(path: Path) -> tuple[Prediction | None, str]:
    """The prediction in a file, or ``None``; and a sentence if the file was damaged and set aside."""
    try:
        found = Prediction(**json.loads(path.read_text("utf-8")))
        if not _sound(found):
            raise ValueError("a field of the wrong kind")
        return found, ""
    except FileNotFoundError:
        return None, ""
    except OSError as error:
        return None, f"{path.name} could not be read ({error.strerror}); it was left where it is."
    except (ValueError, TypeError, RecursionError):
        count = 1
        while (aside := path.with_suffix(f".damaged-{count}")).exists():
            count += 1
        try:
            os.replace(path, aside)
        except OSError:
            return None, f"{path.name} is damaged and could not be set aside; it does not count."
        return None, f"{path.name} was damaged; it was set aside as {aside.name} and does not count."


def _sound(found: Prediction) -> bool:
    def kind(value, *kinds):
        return type(value) in kinds

    return (
        all(kind(getattr(found, word), str) for word in WORDS)
        and found.sure in SURENESS
        and kind(found.chance, float, int)
        and 0 <= found.chance <= 1
        and kind(found.within, float, int)
        and kind(found.value, float, int, str)
        and kind(found.outcome, float, int, str, type(None))
    )
