"""Make the course's own Python, `.venv`, with the versions that pyproject.toml pins; run a script in it.

`python lessons` and `python tests` load this file.  It needs only the standard library, works from any folder
with nothing activated, and says in one sentence what is missing.  Old Pythons must be able to read it up to
that sentence: no f-strings, no annotations, no `raise from`, and new modules imported where they are used.

`.venv` holds a stamp.  It says `unfinished` while being made, so a set-up that was interrupted is made again
and never believed; then it says what was installed, so a ready `.venv` is used as it is, with no network.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile

ROOT = os.path.dirname(os.path.abspath(__file__))
HOME = os.path.join(ROOT, ".venv")
KEPT = os.path.join(ROOT, ".venv-before")  # the last good one, while its successor is being made
UNFINISHED = "unfinished"


class Failed(Exception):
    """The set-up cannot go on; the text is the sentence for the person."""


def run(group, script, arguments):
    """Set up what `group` ("lessons" or "tests") needs, then run a script there; never returns."""
    python = ready(group)
    command = [python, os.path.join(ROOT, script)] + list(arguments)
    environment = dict(os.environ, PATH=os.path.dirname(python) + os.pathsep + os.environ.get("PATH", ""))
    for name in ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__"):
        environment.pop(name, None)  # they would mix another Python's packages into this one
    sys.stdout.flush()
    sys.stderr.flush()
    if os.name != "nt":
        os.execve(python, command, environment)
    try:  # Windows has no exec that keeps the terminal
        sys.exit(subprocess.call(command, env=environment))
    except KeyboardInterrupt:
        sys.exit(130)


def ready(group):
    """Return the path of `.venv`'s Python, made or made anew if it is not what pyproject.toml asks for."""
    if sys.version_info < (3, 11):
        sys.exit(
            "The course needs Python 3.11 or newer, and this is Python %d.%d: use a newer one, "
            "say 'python3.12 %s'." % (sys.version_info[0], sys.version_info[1], group)
        )
    wanted = read_wanted()
    stamp = read_stamp(HOME)
    if wanted[group] in stamp and os.path.exists(python_in(HOME)):
        return python_in(HOME)
    if os.path.isfile(HOME) or (os.path.isdir(HOME) and os.listdir(HOME) and not stamp):
        sys.exit("%s was not made by this course: move it away, or delete it, and run this again." % HOME)
    groups = ["lessons", "tests"] if group == "tests" or len(stamp) > 1 else ["lessons"]
    try:
        keep_or_clear(stamp)
        make(groups, wanted)
    except Failed as reason:
        restore()
        sys.exit(str(reason))
    except KeyboardInterrupt:
        restore()
        sys.exit("Stopped before it was finished: run this again to set it up.")
    shutil.rmtree(KEPT, ignore_errors=True)
    return python_in(HOME)


def read_wanted():
    """Return what each group should have installed, as {group: digest}."""
    core, tests, pins = read_project()
    place = [ROOT] + pins  # a folder that was moved or copied needs a new .venv
    return {"lessons": digest(core + place), "tests": digest(core + tests + place)}


def read_project():
    """Return the requirements of the course, those of its tests, and the pins, from pyproject.toml."""
    import tomllib

    try:
        with open(os.path.join(ROOT, "pyproject.toml"), "rb") as file:
            project = tomllib.load(file)
        pins = project["tool"]["uv"]["constraint-dependencies"]
        return project["project"]["dependencies"], project["dependency-groups"]["tests"], pins
    except (OSError, ValueError, KeyError) as error:
        sys.exit("pyproject.toml is missing or damaged (%s): unpack the course anew, all of it." % error)


def digest(lines):
    return hashlib.sha256("\n".join(lines).encode("utf-8")).hexdigest()


def read_stamp(home):
    """Return the lines of a `.venv`'s stamp, one for each group it holds; none if there is no stamp."""
    try:
        with open(os.path.join(home, "solarlab-stamp")) as file:
            return file.read().split()
    except OSError:
        return []


def write_stamp(lines):
    part = os.path.join(HOME, "solarlab-stamp.part")
    with open(part, "w") as file:
        file.write("\n".join(lines) + "\n")
    os.replace(part, os.path.join(HOME, "solarlab-stamp"))


def python_in(home):
    parts = ("Scripts", "python.exe") if os.name == "nt" else ("bin", "python")
    return os.path.join(home, *parts)


def keep_or_clear(stamp):
    """Put a good `.venv` aside until its successor is made, or take away one that was never finished."""
    try:
        if stamp and stamp != [UNFINISHED]:
            shutil.rmtree(KEPT, ignore_errors=True)
            os.rename(HOME, KEPT)
        elif os.path.isdir(HOME):
            shutil.rmtree(HOME)
    except OSError as error:
        if os.access(ROOT, os.W_OK):
            todo = "close JupyterLab, and all else that uses it, and run this again."
        else:  # a course that somebody else keeps
            todo = "you may not write there: copy the course to a folder of your own, and start it there."
        raise Failed("%s cannot be made anew (%s): %s" % (HOME, error, todo))


def restore():
    """Give the last good `.venv` its place back; its scripts know themselves only by that place."""
    if os.path.isdir(KEPT):
        shutil.rmtree(HOME, ignore_errors=True)
        os.rename(KEPT, HOME)


def make(groups, wanted):
    """Make `.venv`, install the groups in it, show it this folder's package, then stamp it as good."""
    try:
        import ensurepip  # noqa: F401  Debian keeps it, and so a working venv, in a package of its own
        import venv
    except ImportError:
        raise Failed(
            "This Python cannot make virtual environments: on Debian or Ubuntu run "
            "'sudo apt install python3-venv', elsewhere install Python anew, and run this again."
        )
    core, tests, pins = read_project()
    print("Setting up %s: once, a few minutes, about 1 GB on disk." % HOME)
    sys.stdout.flush()
    try:
        os.makedirs(HOME)
        write_stamp([UNFINISHED])
        venv.EnvBuilder(with_pip=True, symlinks=os.name != "nt").create(HOME)
    except (OSError, subprocess.CalledProcessError) as error:
        raise Failed("Python could not make %s (%s): full disk, or read-only folder?" % (HOME, error))
    install(core + (tests if "tests" in groups else []), pins)
    where = "import sysconfig; print(sysconfig.get_path('purelib'))"
    site = subprocess.check_output([python_in(HOME), "-I", "-c", where]).decode().strip()
    with open(os.path.join(site, "solarlab-course.pth"), "w") as file:
        file.write(ROOT + "\n")
    write_stamp([wanted[name] for name in groups])


def install(requirements, pins):
    """Install with pip, each at its pinned version and never by compiling; show which package is at work."""
    handle, path = tempfile.mkstemp(suffix=".txt", prefix="solarlab-pins-")
    with os.fdopen(handle, "w") as file:
        file.write("\n".join(pins) + "\n")
    command = [python_in(HOME), "-I", "-m", "pip", "install", "--no-input", "--progress-bar", "off"]
    command += ["--disable-pip-version-check", "--only-binary", ":all:", "--constraint", path]
    environment = dict(os.environ, PIP_USER="0", PYTHONIOENCODING="utf-8")
    for name in ("PIP_TARGET", "PIP_PREFIX", "PIP_QUIET", "PIP_CONSTRAINT"):
        environment.pop(name, None)  # a person's own settings that would hide or divert what is installed
    last = []
    try:
        pip = subprocess.Popen(
            command + requirements, env=environment, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
        )
        for line in iter(pip.stdout.readline, b""):
            text = line.decode("utf-8", "replace").rstrip()
            last = (last + [text])[-20:]
            if text.startswith("Collecting "):
                print("  " + text.split(" (")[0])
            elif text.startswith("Installing "):
                print("  Installing them all")
            sys.stdout.flush()
        code = pip.wait()
    finally:
        os.remove(path)
    if code:
        sys.stderr.write("\n".join(last) + "\n")
        raise Failed(
            "The packages could not be fetched and installed (pip's last words are above): see that this "
            "computer is on-line and of a kind that README.md names, and run this again."
        )


if __name__ == "__main__":
    ready("tests" if "tests" in sys.argv[1:] else "lessons")
