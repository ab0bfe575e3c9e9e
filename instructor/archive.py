"""Walk through folders and zips as they come, and never outside them: bundles of files, nothing unpacked to
disk.

A bundle is one folder's files.  Links, paths that climb out, encrypted entries and zip bombs are left out and
told in words; what can be read is read.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import stat
import time
import unicodedata
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from .notebook import BYTES_LIMIT

ENTRY_LIMIT = 20_000  # entries of one zip
UNPACKED_LIMIT = 2**31  # bytes that one zip may unpack to
RATIO_LIMIT = 200  # times its packed size, for an entry of more than a few megabytes
DEPTH_LIMIT = 3  # zips in zips
RESERVED = {"con", "prn", "aux", "nul", *(f"{name}{n}" for name in ("com", "lpt") for n in range(1, 10))}
OTHER_PACKERS = {
    b"7z\xbc\xaf\x27\x1c": "7z", b"Rar!\x1a\x07": "RAR",
    b"\x1f\x8b": "gzip", b"\xfd7zXZ": "xz", b"BZh": "bzip2",
}  # fmt: skip
LONG_AGO = datetime(1980, 1, 1, tzinfo=UTC)  # where a file's own time makes no sense
SKIPPED = {"__macosx", ".ipynb_checkpoints", "__pycache__", ".ds_store", "thumbs.db", "desktop.ini", ".git"}


@dataclass(frozen=True)
class File:
    """One file: its name, its bytes, and when it was changed (local time with offset).

    ``problem`` says why a notebook could not be read; its bytes are empty then.
    """

    name: str
    data: bytes
    changed: datetime
    problem: str = ""


@dataclass(frozen=True)
class Bundle:
    """The files of one folder.  ``parts`` leads to it from what was given, names cleaned."""

    parts: tuple[str, ...]
    files: tuple[File, ...]
    problems: tuple[str, ...] = field(default=())


def bundles(source: Path) -> Iterator[Bundle]:
    """Every folder's files below ``source``: a folder, a zip, or one file.  Raises ValueError if it is not
    there.
    """
    if not source.exists():
        raise ValueError(f"{source} is not there.")
    if source.is_dir():
        yield from _folder(source, ())
    elif zipfile.is_zipfile(source) and source.suffix.lower() != ".ipynb":
        yield from _zip_file(source, (clean(source.stem),))
    else:
        data, problem = _read(source)
        yield Bundle((), (File(clean(source.name), data, _changed(source), problem),))


def clean(name: str) -> str:
    """A file name that is safe on every system and still tells the person's own: accents and scripts are
    kept.
    """
    name = unicodedata.normalize("NFC", name)
    name = "".join(" " if c in '/\\:*?"<>|' or unicodedata.category(c)[0] == "C" else c for c in name)
    name = re.sub(r"\s+", " ", name).strip(" .")
    stem, dot, ending = name.rpartition(".")
    if dot and len(ending) <= 8:
        name = f"{stem[:90].rstrip()}.{ending}"
    else:
        name = name[:100]
    if name.split(".")[0].lower() in RESERVED:
        name = f"_{name}"
    return name or "unnamed"


def _folder(folder: Path, parts: tuple[str, ...]) -> Iterator[Bundle]:
    files, problems, below = [], [], []
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError as error:
        yield Bundle(parts, (), (f"{'/'.join(parts) or folder.name} cannot be opened ({error.strerror}).",))
        return
    for entry in entries:
        path, shown = Path(entry.path), "/".join([*parts, clean(entry.name)])
        if entry.name.lower() in SKIPPED:
            continue
        if entry.is_symlink():
            problems.append(f"{shown} is a link and was left out.")
        elif entry.is_dir():
            below.append((path, (*parts, clean(entry.name))))
        elif entry.is_file() and path.suffix.lower() == ".zip":
            below.append((path, (*parts, clean(path.stem))))
        elif entry.is_file():
            data, problem = _read(path)
            if problem and path.suffix.lower() != ".ipynb":
                problems.append(f"{shown} {problem}")
            else:
                files.append(File(clean(entry.name), data, _changed(path), problem))
        else:
            problems.append(f"{shown} is no ordinary file and was left out.")
    if files or problems:
        yield Bundle(parts, tuple(files), tuple(problems))
    for path, inner in below:
        yield from _folder(path, inner) if path.is_dir() else _zip_file(path, inner)


def _zip_file(path: Path, parts: tuple[str, ...]) -> Iterator[Bundle]:
    try:
        with path.open("rb") as file:
            yield from _zip(file, parts, 1)
    except OSError as error:
        yield Bundle(parts, (), (f"{'/'.join(parts)} cannot be read ({error.strerror}).",))


def _read(path: Path) -> tuple[bytes, str]:
    """A file's bytes, and why it has none: a worn stick or a cloud folder may fail on any file."""
    try:
        size = path.stat().st_size
        return (b"", _too_large(size)) if size > BYTES_LIMIT else (path.read_bytes(), "")
    except OSError as error:
        return b"", f"cannot be read ({error.strerror}): copy it to this computer and collect it again."


def unread(name: str, data: bytes) -> str:
    """Why a file that is no notebook hides one that is not read; "" if it does not."""
    if name.lower().endswith(".icloud"):
        return f"{name} is a mere sign for a file that lies in the cloud: download it and collect it again."
    kind = next((kind for start, kind in OTHER_PACKERS.items() if data.startswith(start)), "")
    kind = "tar" if data[257:262] == b"ustar" else "zip within many zips" if data[:4] == b"PK\3\4" else kind
    if not kind or (data[:4] == b"PK\3\4" and not name.lower().endswith(".zip")):
        return ""
    return f"{name} is a {kind}, which is not unpacked here: unpack it, and collect the folder."


def _too_large(size: int) -> str:
    return f"has {size / 1e6:.0f} MB; up to {BYTES_LIMIT / 1e6:.0f} MB are read."


def _changed(path: Path) -> datetime:
    try:
        return datetime.fromtimestamp(path.stat().st_mtime, UTC).astimezone()
    except (OSError, ValueError, OverflowError):
        return LONG_AGO


def _zip(file: io.IOBase, parts: tuple[str, ...], depth: int) -> Iterator[Bundle]:
    shown = "/".join(parts)
    try:
        archive = zipfile.ZipFile(file)
    except (zipfile.BadZipFile, OSError, ValueError):
        yield Bundle(parts, (), (f"{shown} is a damaged zip and cannot be read.",))
        return
    with archive:
        entries = archive.infolist()
        if len(entries) > ENTRY_LIMIT:
            yield Bundle(parts, (), (f"{shown} holds {len(entries)} entries; up to {ENTRY_LIMIT} are read.",))
            return
        folders: dict[tuple[str, ...], list[zipfile.ZipInfo]] = {}
        problems: dict[tuple[str, ...], list[str]] = {}
        for entry in entries:
            inner, climbs = _inside(entry)
            if entry.is_dir() or not inner or SKIPPED & {part.lower() for part in inner}:
                continue
            where = (*parts, *inner[:-1])
            folders.setdefault(where, [])
            if climbs:
                words = f"{shown}: an entry's path leads out of the zip; it was read as “{'/'.join(inner)}”."
                problems.setdefault(where, []).append(words)
            folders[where].append(entry)
        left = UNPACKED_LIMIT
        for where, inside in sorted(folders.items()):
            files, nested, told = [], [], problems.get(where, [])
            for entry in inside:
                name = _inside(entry)[0][-1]
                data, problem = _unpack(archive, entry, left)
                if data is None:
                    if name.lower().endswith(".ipynb"):
                        files.append(File(name, b"", _entry_time(entry), problem))
                    else:
                        told.append(f"{'/'.join([*where, name])} {problem}")
                    continue
                left -= len(data)
                if name.lower().endswith(".zip") and depth < DEPTH_LIMIT:
                    nested.append((data, (*where, name[:-4])))
                else:
                    files.append(File(name, data, _entry_time(entry)))
            if files or told:
                yield Bundle(where, tuple(files), tuple(told))
            for data, inner in nested:
                yield from _zip(io.BytesIO(data), inner, depth + 1)


def _inside(entry: zipfile.ZipInfo) -> tuple[list[str], bool]:
    """The entry's cleaned path inside its zip, and whether it tried to climb out."""
    name = entry.filename
    if not entry.flag_bits & 0x800:  # no mark for UTF-8: many programs write UTF-8 all the same
        with contextlib.suppress(UnicodeError):
            name = name.encode("cp437").decode("utf-8")
    raw = name.replace("\\", "/").split("/")
    climbs = name.startswith(("/", "\\")) or ".." in raw or bool(re.match(r"[A-Za-z]:", name))
    return [clean(part) for part in raw if part not in ("", ".", "..")], climbs


def _unpack(archive: zipfile.ZipFile, entry: zipfile.ZipInfo, left: int) -> tuple[bytes | None, str]:
    if stat.S_ISLNK(entry.external_attr >> 16):
        return None, "is a link and was left out."
    if entry.flag_bits & 0x1:
        return None, "is locked with a password and cannot be read."
    if entry.file_size > BYTES_LIMIT:
        return None, _too_large(entry.file_size)
    if entry.file_size > 4e6 and entry.file_size > RATIO_LIMIT * max(entry.compress_size, 1):
        return None, "unpacks to far more than it holds (a zip bomb) and was left out."
    try:
        with archive.open(entry) as file:
            data = file.read(min(BYTES_LIMIT, left) + 1)  # what the entry says of its size may be a lie
    except (zipfile.BadZipFile, OSError, EOFError, ValueError, NotImplementedError, RuntimeError) as error:
        return None, f"cannot be unpacked ({str(error)[:80]})."
    except Exception as error:  # zlib.error, lzma.LZMAError: each packer has its own
        return None, f"cannot be unpacked ({type(error).__name__})."
    if len(data) > min(BYTES_LIMIT, left):
        return None, "unpacks to more than is read, and was left out."
    return data, ""


def _entry_time(entry: zipfile.ZipInfo) -> datetime:
    try:
        return datetime.fromtimestamp(time.mktime((*entry.date_time, 0, 0, -1)), UTC).astimezone()
    except (OSError, ValueError, OverflowError):
        return LONG_AGO
