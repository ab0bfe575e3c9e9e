"""Take returned work in: from folders, zips, a memory stick or nbgrader's exchange, into ``submitted/``.

Whose it is comes from the roster and the folder and file names, never from a computer's user name; what
lesson it is comes from the cells.  Nothing is lost: an earlier return is kept in ``earlier/``, what nobody
can be found for in ``aside/``, each with the reason.
"""

from __future__ import annotations

import os
import re
import shutil
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from .archive import Bundle, File, bundles, clean, unread
from .course import Course, Learner, write
from .notebook import NotMarkable, read

EXCHANGE = re.compile(  # nbgrader's name for a submission; the colons of its time are blanks in a clean name
    r"^(?P<who>.+?)\+(?P<lesson>.+?)\+(?P<day>\d{4}-\d\d-\d\d) (?P<time>\d\d[: ]\d\d[: ]\d\d)(\.\d+)?"
    r" (?P<zone>\S+?)(\+.*)?$"
)
WHY = "why.txt"  # stands in a return's folder in place of a notebook that could not even be taken in
TAKEN, EARLIER, SAME, ASIDE = "taken", "earlier", "same", "aside"


@dataclass(frozen=True)
class Taken:
    """What became of one notebook.  ``state``: "taken", "earlier" (a newer one is here), "same", or
    "aside".
    """

    state: str
    came_as: str
    learner: str = ""
    lesson: str = ""
    received: str = ""
    words: tuple[str, ...] = ()


def take_in(course: Course, source: Path, *, received: datetime | None = None) -> list[Taken]:
    """Take in all returned work below ``source``.  ``received`` overrides the files' own times.

    Returns what became of each notebook, in order.  Raises ValueError only when ``source`` is not there or no
    lesson is released.
    """
    lessons = {name: _names(course, name) for name in course.lessons()}
    if not lessons:
        raise ValueError("No lesson is released yet: release one before taking work in.")
    outcome: list[Taken] = []
    for bundle in bundles(source):
        notebooks = [file for file in bundle.files if _is_notebook(file)]
        others = [file for file in bundle.files if file not in notebooks]
        for file in notebooks:
            outcome.append(_take(course, lessons, source, bundle, file, others, received))
        if bundle.problems or (others and not notebooks):
            outcome += _leave(course, source, bundle, others if not notebooks else [])
    return outcome


def _take(
    course: Course,
    lessons: dict[str, set[str]],
    source: Path,
    bundle: Bundle,
    file: File,
    others: Sequence[File],
    received: datetime | None,
) -> Taken:
    came_as = "/".join([*bundle.parts, file.name])
    names, ids = _look_inside(file.data)
    who, words = find_learner(course.roster.values(), [source.stem, *bundle.parts], file.name, names)
    lesson = find_lesson(lessons, ids, [*bundle.parts, file.name])
    when, now = received or _stamp(bundle, others) or file.changed, datetime.now(UTC)
    if received is None and when > now + timedelta(days=1):
        words.append(f"Its time, {when:%Y-%m-%d %H:%M}, has not come yet: a clock is wrong, and now counts.")
        when = now.astimezone()
    if not file.data.strip(b"\x00") and not file.problem:
        words.append("The file is empty. In a cloud folder, have it downloaded first; then collect it again.")
    if who is None or lesson is None:
        reason = words if who is None else ["No lesson of this class was recognised in it."]
        reason = [f"The file {file.problem}", *reason] if file.problem else reason
        _set_aside(course, came_as, [file, *others], reason)
        return Taken(ASIDE, came_as, who.id if who else "", lesson or "", when.isoformat(), tuple(reason))
    if clean(file.name) != f"{lesson}.ipynb":
        words.append(f"“{file.name}” was renamed to {lesson}.ipynb.")
    files = {f"{lesson}.ipynb": file.data} if not file.problem else {WHY: f"The file {file.problem}".encode()}
    for other in others:
        if other.name != "timestamp.txt":
            files[_free_name(other.name, [*files, "timestamp.txt"])] = other.data
    state, more = _store(course, who.id, lesson, files, when)
    return Taken(state, came_as, who.id, lesson, when.isoformat(), (*words, *more))


def find_learner(
    roster: Iterable[Learner], folders: Sequence[str], file_name: str, inside: Sequence[str] = ()
) -> tuple[Learner | None, list[str]]:
    """The learner that folder names point to; else the file's name; else the name typed in the notebook.

    Returns None and the reason when nobody, or more than one person, is meant.
    """
    roster, found = list(roster), []
    for where in (folders, [file_name.removesuffix(".ipynb")], inside):
        found.append({learner.id: learner for text in where for learner in _named(roster, text)})
    by_folder, by_file, by_cell = found
    for kind, people in (("folders", by_folder), ("file's name", by_file), ("notebook itself", by_cell)):
        if len(people) > 1:
            return None, [f"The {kind} name more than one learner: {', '.join(sorted(people))}."]
        if people:
            (learner,) = people.values()
            words = [f"Only the notebook itself names {learner.id}."] if people is by_cell else []
            if kind == "folders" and by_file and learner.id not in by_file:
                words.append(
                    f"The folder says {learner.id}, the file's name {', '.join(by_file)}: the folder counts."
                )
            if kind != "notebook itself" and by_cell and learner.id not in by_cell:
                words.append(f"In the notebook stands the name of {', '.join(by_cell)}.")
            return learner, words
    return None, ["No learner of the roster is named by its folder, its file name or its first cells."]


def _named(roster: Sequence[Learner], text: str) -> list[Learner]:
    """Learners whose id, address or full name stands in ``text`` as whole words; the longest match wins."""
    match = EXCHANGE.match(text)
    words = _words(match["who"] if match else text)
    best: list[Learner] = []
    longest = 0
    for learner in roster:
        keys = [learner.id, learner.email, learner.email.split("@")[0]]
        if learner.first_name and learner.last_name:
            keys += [f"{learner.first_name} {learner.last_name}", f"{learner.last_name} {learner.first_name}"]
        for key in keys:
            wanted = _words(key)
            size = sum(map(len, wanted))
            if wanted and _holds(words, wanted):
                if size > longest:
                    best, longest = [learner], size
                elif size == longest and learner not in best:
                    best.append(learner)
    return best


def _words(text: str) -> list[str]:
    """Lower-case words without accents: "Zoë O'Neil" -> ["zoe", "o", "neil"]."""
    text = unicodedata.normalize("NFKD", text).casefold()
    return re.findall(r"[^\W_]+", "".join(c for c in text if not unicodedata.combining(c)))


def _holds(words: list[str], wanted: list[str]) -> bool:
    return any(words[i : i + len(wanted)] == wanted for i in range(len(words) - len(wanted) + 1))


def find_lesson(lessons: dict[str, set[str]], ids: set[str], parts: Sequence[str]) -> str | None:
    """The lesson whose cells are in the notebook; without any, the one that a folder or the file is named
    after.
    """
    counted = sorted(((len(ids & own), name) for name, own in lessons.items()), reverse=True)
    if counted[0][0] and (len(counted) == 1 or counted[0][0] > counted[1][0]):
        return counted[0][1]
    for part in reversed(parts):
        match = EXCHANGE.match(part)
        words = _words(match["lesson"] if match else part)
        named = [name for name in lessons if _holds(words, _words(name))]
        if len(named) == 1:
            return named[0]
    return None


def _is_notebook(file: File) -> bool:
    """By its name; or, for browsers and mail add .txt or .json to it, by what stands in it."""
    start = file.data[:100].lstrip(b"\xef\xbb\xbf \t\r\n")
    return file.name.lower().endswith(".ipynb") or (start[:1] == b"{" and b'"cell_type"' in file.data)


def _look_inside(data: bytes) -> tuple[list[str], set[str]]:
    """The id typed into ``learner = "…"``, and the cells' labels and ids.  A broken notebook gives none."""
    try:
        cells, _, _ = read(data)
    except NotMarkable:
        return [], set()
    names = [
        name
        for cell in cells
        if cell.kind == "code"
        for _, name in re.findall(r"""\blearner\s*[=(]\s*(["'])([^"'\n]{1,80})\1""", cell.source[:5000])
    ]
    return names[:3], {cell.grade_id for cell in cells} | {cell.id for cell in cells} - {""}


def _names(course: Course, lesson: str) -> set[str]:
    cells = course.release(lesson).cells
    labels = {cell.get("metadata", {}).get("nbgrader", {}).get("grade_id", "") for cell in cells}
    return (labels | {cell.get("id", "") for cell in cells}) - {""}


def _stamp(bundle: Bundle, others: Sequence[File]) -> datetime | None:
    """The time nbgrader's exchange wrote down, if it did."""
    texts = [file.data[:64].decode("ascii", "replace") for file in others if file.name == "timestamp.txt"]
    for match in filter(None, map(EXCHANGE.match, bundle.parts)):
        texts.append(f"{match['day']} {match['time'].replace(' ', ':')} {match['zone']}")
    for text in texts:
        try:
            when = datetime.fromisoformat(re.sub(r"\s(UTC|Z)$", "+00:00", text.strip()))
        except ValueError:
            continue
        return when if when.tzinfo else when.astimezone()
    return None


def _store(
    course: Course, learner: str, lesson: str, files: dict[str, bytes], when: datetime
) -> tuple[str, list[str]]:
    """Put a return where it belongs; the newest counts, every other is kept in ``earlier/``."""
    current = course.folder / "submitted" / learner / lesson
    if not current.is_dir():
        _put(current, files, when)
        return TAKEN, []
    if contents(current) == files:
        return SAME, ["The same return had been taken in before."]
    before = _stored_time(current)
    if before is not None and before > when:
        _put(_earlier(course, learner, lesson, when), files, when)
        return EARLIER, [f"A newer return, of {before:%Y-%m-%d %H:%M}, is here; this one is kept beside it."]
    aside = _earlier(course, learner, lesson, before or when)
    aside.parent.mkdir(parents=True, exist_ok=True)
    os.replace(current, aside)
    _put(current, files, when)
    return TAKEN, ["An earlier return is kept beside it."]


def contents(folder: Path) -> dict[str, bytes]:
    """A stored return's files, without the time nbgrader keeps beside them."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and not path.is_symlink() and path.name != "timestamp.txt"
    }


def _stored_time(folder: Path) -> datetime | None:
    try:
        return datetime.fromisoformat((folder / "timestamp.txt").read_text("utf-8").strip())
    except (OSError, ValueError):
        return None


def _earlier(course: Course, learner: str, lesson: str, when: datetime) -> Path:
    stem = course.folder / "earlier" / learner / lesson / f"{when:%Y-%m-%d_%H-%M-%S}"
    path, number = stem, 2
    while path.exists():
        path, number = stem.with_name(f"{stem.name}-{number}"), number + 1
    return path


def _put(folder: Path, files: dict[str, bytes], when: datetime) -> None:
    """Write a folder whole under a temporary name, then give it its own."""
    part = folder.with_name(f".{folder.name}.part")
    shutil.rmtree(part, ignore_errors=True)
    part.mkdir(parents=True)
    for name, data in files.items():
        (part / name).write_bytes(data)
    (part / "timestamp.txt").write_text(when.isoformat() + "\n", "utf-8")
    os.replace(part, folder)


def _free_name(name: str, taken: Iterable[str]) -> str:
    stem, dot, ending = name.rpartition(".")
    found, number, lower = name, 2, {each.lower() for each in taken}
    while found.lower() in lower:
        found, number = (f"{stem}-{number}.{ending}" if dot else f"{name}-{number}"), number + 1
    return found


def _set_aside(course: Course, came_as: str, files: Sequence[File], reason: Sequence[str]) -> None:
    folder = course.folder / "aside" / clean(came_as.replace("/", " - "))
    named: dict[str, bytes] = {}
    for file in files:
        named[_free_name(file.name, named)] = file.data
    if folder.is_dir() and {**named} == {n: d for n, d in contents(folder).items() if n != "reason.txt"}:
        return
    while folder.exists():
        folder = folder.with_name(f"{folder.name}-2")
    folder.mkdir(parents=True)
    for name, data in named.items():
        (folder / name).write_bytes(data)
    write(folder / "reason.txt", "\n".join(reason) + "\n")


def _leave(course: Course, source: Path, bundle: Bundle, others: Sequence[File]) -> list[Taken]:
    """Entries that could not be read, and files with no notebook beside them: told, and kept where they can
    be.
    """
    who, _ = find_learner(course.roster.values(), [source.stem, *bundle.parts], "")
    shown = "/".join(bundle.parts) or source.name
    outcome = [Taken(ASIDE, shown, who.id if who else "", "", "", (problem,)) for problem in bundle.problems]
    if others:
        reason = [why for other in others if (why := unread(other.name, other.data))]
        reason = reason or ["There is no notebook in this folder."]
        _set_aside(course, shown, others, reason)
        outcome.append(Taken(ASIDE, shown, who.id if who else "", "", "", tuple(reason)))
    return outcome
