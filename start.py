#!/usr/bin/env python3
"""Start Hillbench with nothing but Python 3.11 or newer.

python3 start.py                 set up what is needed, open the demo bench in the browser
python3 start.py --no-browser    the same without opening a browser; --port N picks the port
python3 start.py test [ARGS]     set up the tests too and run them all, or as pytest's ARGS say
python3 start.py COMMAND ...     run a hillbench command, as in: coast FILE.json --plot run.svg
"""
# Every line must be readable by Python 3.6, so that an old one can say what it lacks.

import os
import shutil
import sys
from pathlib import Path

if sys.version_info < (3, 11):
    sys.exit(
        "Hillbench needs Python 3.11 or newer and this is Python {}.{}: install a newer one "
        "and start this file with it.".format(*sys.version_info)
    )

import platform
from collections.abc import Mapping, Sequence

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON_HERE = f"{sys.version_info.major}.{sys.version_info.minor}"
DEMO_OPTIONS = ("--no-browser", "--port")

PIP_PACKAGE = ("Collecting ", "Processing ", "Requirement already satisfied: ")
PIP_FAILURES = (
    (
        ("No space left", "Errno 28", "not enough space"),
        "The disk is full: free about 1 GB and start again.",
    ),
    (
        ("DO NOT MATCH THE HASHES", "THESE PACKAGES DO NOT MATCH"),
        "A package that arrived is not the one this project was tested with, so nothing of it "
        "was installed: try another network.",
    ),
    (
        ("NewConnectionError", "ConnectTimeout", "NameResolutionError", "ProxyError", "timed out"),
        "The packages could not be fetched: connect this computer to the internet once and "
        "start again; afterwards no connection is needed.",
    ),
    (
        ("No matching distribution", "Could not find a version"),
        "A package has no ready-made build for this system and Python {python} on {machine}: "
        "try another Python from 3.11 to 3.14.",
    ),
)


class Refusal(Exception):
    """Something stands in the way; says in one sentence what, and what to do."""


def main(words: Sequence[str]) -> int:
    """Set up what the words ask for, then hand over to it; return the exit status."""
    if words[:1] in (["-h"], ["--help"]):
        print(__doc__)
        return 0
    try:
        if words[:1] == ["test"]:
            return test(words[1:])
        set_up("app")
        return hand_over(["-m", "hillbench", *command_words(words)])
    except Refusal as refusal:
        print(refusal, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        print("Stopped; start again to go on.", file=sys.stderr)
        return 130


def command_words(words: Sequence[str]) -> list[str]:
    """Return the words for the `hillbench` command; the demo where no command is named."""
    if not words or words[0].partition("=")[0] in DEMO_OPTIONS:
        return ["demo", *words]
    return list(words)


def test(words: Sequence[str]) -> int:
    """Run the whole test suite on all cores, or pytest exactly as the words say."""
    set_up("test")
    from tests.provide_browser import provide_browser

    browser = provide_browser(venv_python(), child_environment())
    os.chdir(ROOT)
    options = list(words) or ["-n", "auto", "--dist", "worksteal"]
    return hand_over(["-m", "pytest", *options], {"HILLBENCH_BROWSER": browser})


def hand_over(words: Sequence[str], extra: Mapping[str, str] | None = None) -> int:
    """Go on as the environment's Python; on Windows wait for it and return its status."""
    sys.stdout.flush()
    command = [str(venv_python()), *words]
    environment = {**child_environment(), **(extra or {})}
    if os.name == "posix":
        os.execve(command[0], command, environment)
    import subprocess

    running = subprocess.Popen(command, env=environment)
    while True:
        try:
            return running.wait()
        except KeyboardInterrupt:
            continue  # the command was interrupted too and ends in its own way


def child_environment() -> dict[str, str]:
    """Return this process's environment without what would mislead another Python."""
    misleading = ("PYTHONPATH", "PYTHONHOME", "__PYVENV_LAUNCHER__")
    return {name: value for name, value in os.environ.items() if name not in misleading}


def venv_python(venv: Path = VENV) -> Path:
    """Return the Python of the environment."""
    return venv / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def set_up(lock: str) -> None:
    """Make the environment hold what the lock file `app` or `test` lists, if it does not yet."""
    wanted = fingerprint(lock)
    if is_usable(VENV) and wanted in read_stamp(VENV):
        return
    reason = cannot_run()
    if reason:
        raise Refusal(reason)
    kept = VENV.with_name(".venv.old")
    fresh = not is_usable(VENV)
    if fresh:
        set_aside(VENV, kept)
    try:
        if fresh:
            make_venv(VENV)
        install(lock)
    except BaseException:
        if fresh:
            put_back(kept, VENV)
        raise
    # The test lock holds all of the app lock, so both are satisfied then.
    locks = ("app", "test") if lock == "test" else ("app",)
    write_stamp(VENV, [fingerprint(each) for each in locks])
    shutil.rmtree(kept, ignore_errors=True)
    warm_up()


def fingerprint(lock: str) -> str:
    """Return a line that changes whenever the lock file does."""
    import hashlib

    content = (ROOT / "requirements" / f"{lock}.txt").read_bytes()
    return f"{lock} {hashlib.sha256(content).hexdigest()}"


def is_usable(venv: Path) -> bool:
    """Return whether the environment was completed, for this Python, and still has it.

    Nothing in the environment depends on where the folder lies: it may be moved.
    """
    return python_line() in read_stamp(venv) and venv_python(venv).exists() and base_exists(venv)


def base_exists(venv: Path) -> bool:
    """Return whether the Python that the environment was made from is still installed."""
    try:
        lines = (venv / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return False
    homes = [line.partition("=")[2].strip() for line in lines if line.startswith("home")]
    return bool(homes) and Path(homes[0]).is_dir()


def python_line() -> str:
    """Return the line of the stamp that names the Python of the environment."""
    return f"python {PYTHON_HERE} {platform.machine()}"


def read_stamp(venv: Path) -> list[str]:
    """Return the lines of the stamp; none where the environment was never completed."""
    try:
        return (venv / "complete.txt").read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        return []


def write_stamp(venv: Path, fingerprints: Sequence[str]) -> None:
    """Mark the environment as complete."""
    text = "\n".join([python_line(), *fingerprints]) + "\n"
    (venv / "complete.txt").write_text(text, encoding="utf-8")


def set_aside(venv: Path, kept: Path) -> None:
    """Move a complete environment of another Python away; throw away one never completed."""
    try:
        if read_stamp(venv):
            shutil.rmtree(kept, ignore_errors=True)
            venv.rename(kept)
        elif venv.is_dir():
            shutil.rmtree(venv)
    except OSError as error:
        raise Refusal(
            f"The folder {venv.name} cannot be replaced ({error.strerror}): stop every running "
            "Hillbench and start again."
        ) from error


def put_back(kept: Path, venv: Path) -> None:
    """Undo `set_aside` after a failure."""
    shutil.rmtree(venv, ignore_errors=True)
    if kept.is_dir() and not venv.exists():
        kept.rename(venv)


def cannot_run() -> str:
    """Return why this Python or system cannot hold the environment; empty if it can."""
    import importlib.util

    system, machine = platform.system(), platform.machine()
    if sys.implementation.name != "cpython" or sys.maxsize < 2**32:
        return "Hillbench needs the usual 64-bit Python (CPython): install it and start again."
    if system == "Darwin" and machine == "x86_64" and sys.version_info >= (3, 14):
        return "On an Intel Mac Hillbench needs Python 3.11, 3.12 or 3.13: start it with one."
    if system == "Windows" and machine == "ARM64" and sys.version_info < (3, 12):
        return "On Windows for ARM Hillbench needs Python 3.12 or newer: start it with one."
    if not (importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip")):
        return (
            "This Python came without its venv part: on Debian or Ubuntu run "
            f"`sudo apt install python{PYTHON_HERE}-venv`, elsewhere install Python again in "
            "full, then start again."
        )
    return ""


def make_venv(venv: Path) -> None:
    """Make an empty environment."""
    import subprocess
    import venv as builder

    print(f"Setting up {venv.name} for Python {PYTHON_HERE} (once, about 0.5 GB)", flush=True)
    try:
        builder.EnvBuilder(symlinks=os.name != "nt", with_pip=True, clear=True).create(venv)
    except (OSError, subprocess.CalledProcessError) as error:
        raise Refusal(
            f"The folder {venv.name} could not be made ({error}): check that this folder may be "
            "written and the disk is not full, then start again."
        ) from error


def install(lock: str) -> None:
    """Install what the lock file lists and put the package itself on the path."""
    # Until the stamp is back, the environment counts as incomplete.
    (VENV / "complete.txt").unlink(missing_ok=True)
    run_pip(ROOT / "requirements" / f"{lock}.txt")
    site_packages = next(VENV.glob("[Ll]ib/**/site-packages"))
    # A path relative to site-packages survives both a move and letters outside ASCII.
    relative = os.path.relpath(ROOT / "src", site_packages.resolve())
    (site_packages / "hillbench.pth").write_text(relative + "\n", encoding="ascii")


def run_pip(lock_file: Path) -> None:
    """Run pip on a lock file, one line of progress for each package."""
    import subprocess

    command = [str(venv_python()), "-m", "pip", "install", "--require-hashes", "--no-deps"]
    command += ["--only-binary=:all:", "--no-compile", "--disable-pip-version-check"]
    command += ["--no-input", "--retries=3", "--progress-bar=off", "-r", str(lock_file)]
    environment = {**child_environment(), "PYTHONUNBUFFERED": "1", "PYTHONUTF8": "1"}
    with subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
        env=environment,
    ) as pip:
        progress = Progress(count_packages(lock_file))
        for line in pip.stdout or ():
            progress.show(line.strip())
    if pip.returncode:
        raise Refusal(pip_failure(progress.lines))


def count_packages(lock_file: Path) -> int:
    """Return how many packages a lock file lists."""
    lines = lock_file.read_text(encoding="utf-8").splitlines()
    return sum("==" in line and line[:1].isalnum() for line in lines)


class Progress:
    """Turns what pip writes into one short line for each package."""

    def __init__(self, total: int) -> None:
        self.total = total
        self.done = 0
        self.lines: list[str] = []

    def show(self, line: str) -> None:
        """Take one line of pip and print it if it tells of progress."""
        self.lines.append(line)
        if line.startswith("Ignoring "):
            self.total -= 1
        elif line.startswith(PIP_PACKAGE):
            self.done += 1
            print(f"[{self.done}/{self.total}] {package_name(line)}", flush=True)
        elif line.startswith("Installing collected"):
            print("Putting them in place", flush=True)


def package_name(line: str) -> str:
    """Return name and version of the package that a line of pip is about."""
    words = line.partition(": ")[2] or line.partition(" ")[2]
    first = words.split()[0]
    if first.endswith(".whl"):  # a file from a local folder of packages
        return "==".join(Path(first).name.split("-")[:2])
    return first


def pip_failure(lines: Sequence[str]) -> str:
    """Return one sentence about a failure of pip, after its own words if it is a rare one."""
    text = "\n".join(lines)
    for signs, sentence in PIP_FAILURES:
        if any(sign in text for sign in signs):
            return sentence.format(python=PYTHON_HERE, machine=platform.machine())
    last_words = "\n".join(lines[-8:])
    return f"{last_words}\nThe packages could not be installed, for the reason above."


def warm_up() -> None:
    """Let the new environment compile what the first page needs; nothing depends on it."""
    import subprocess

    if (ROOT / "src" / "hillbench" / "cli" / "warm_up.py").exists():
        print("Compiling, so that the first page comes quickly", flush=True)
        command = [str(venv_python()), "-m", "hillbench", "warm-up"]
        subprocess.run(command, env=child_environment(), check=False)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
