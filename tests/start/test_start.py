"""The start script's own decisions, without network and without installing anything."""

from __future__ import annotations

import ast
import importlib.util
import os
import platform
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parents[2]


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The script as a module, working on a project of its own."""
    spec = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    (tmp_path / "requirements").mkdir()
    for lock in ("app", "test"):
        text = f"{lock}==1 \\\n    --hash=sha256:00\nother==2 \\\n    --hash=sha256:11\n"
        (tmp_path / "requirements" / f"{lock}.txt").write_text(text)
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    return module


@pytest.fixture
def made(start: ModuleType, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What the script does to the environment, without doing it for real."""
    steps: list[str] = []

    def make_venv(venv: Path) -> None:
        steps.append("venv")
        python = start.venv_python(venv)
        python.parent.mkdir(parents=True)
        python.touch()
        (venv / "pyvenv.cfg").write_text(f"home = {venv.parent}\n")

    monkeypatch.setattr(start, "make_venv", make_venv)
    monkeypatch.setattr(start, "install", lambda lock: steps.append(f"install {lock}"))
    monkeypatch.setattr(start, "warm_up", lambda: steps.append("warm up"))
    return steps


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ([], ["demo"]),
        (["--no-browser"], ["demo", "--no-browser"]),
        (["--port", "9000"], ["demo", "--port", "9000"]),
        (["--port=9000", "--no-browser"], ["demo", "--port=9000", "--no-browser"]),
        (["serve", "--port", "9000"], ["serve", "--port", "9000"]),
        (["--version"], ["--version"]),
        (["--data", "here", "coast", "a.json"], ["--data", "here", "coast", "a.json"]),
    ],
)
def test_words_reach_the_right_command(
    start: ModuleType, words: list[str], expected: list[str]
) -> None:
    assert start.command_words(words) == expected


def test_second_start_installs_nothing(start: ModuleType, made: list[str]) -> None:
    start.set_up("app")
    assert made == ["venv", "install app", "warm up"]
    start.set_up("app")
    assert made == ["venv", "install app", "warm up"]


def test_test_set_up_adds_to_the_environment_and_serves_the_app_too(
    start: ModuleType, made: list[str]
) -> None:
    start.set_up("app")
    made.clear()
    start.set_up("test")
    assert made == ["install test", "warm up"]
    start.set_up("app")
    assert made == ["install test", "warm up"]


def test_a_changed_lock_is_installed_into_the_same_environment(
    start: ModuleType, made: list[str]
) -> None:
    start.set_up("app")
    made.clear()
    with (start.ROOT / "requirements" / "app.txt").open("a") as lock:
        lock.write("third==3\n")
    start.set_up("app")
    assert made == ["install app", "warm up"]


@pytest.mark.parametrize("damage", ["stamp", "python", "pyvenv.cfg", "base", "other python"])
def test_a_broken_environment_is_made_again(
    start: ModuleType, made: list[str], damage: str
) -> None:
    start.set_up("app")
    made.clear()
    venv = start.VENV
    if damage == "stamp":
        (venv / "complete.txt").unlink()
    elif damage == "python":
        start.venv_python(venv).unlink()
    elif damage == "pyvenv.cfg":
        (venv / "pyvenv.cfg").unlink()
    elif damage == "base":
        (venv / "pyvenv.cfg").write_text(f"home = {venv.parent / 'gone'}\n")
    else:
        stamp = venv / "complete.txt"
        stamp.write_text(stamp.read_text().replace(start.PYTHON_HERE, "3.99"))
    start.set_up("app")
    assert made == ["venv", "install app", "warm up"]
    assert start.is_usable(venv)
    assert not venv.with_name(".venv.old").exists()


@pytest.mark.usefixtures("made")
def test_a_moved_folder_stays_usable(start: ModuleType, tmp_path: Path) -> None:
    start.set_up("app")
    moved = tmp_path / "elsewhere"
    start.VENV.rename(moved)
    assert start.is_usable(moved)


@pytest.mark.usefixtures("made")
@pytest.mark.parametrize("failure", ["refusal", "interrupt"])
def test_a_failed_install_leaves_no_half_made_environment_and_keeps_the_old_one(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, failure: str
) -> None:
    start.set_up("app")
    stamp = start.VENV / "complete.txt"
    old = stamp.read_text().replace(start.PYTHON_HERE, "3.99")
    stamp.write_text(old)
    error = start.Refusal("offline") if failure == "refusal" else KeyboardInterrupt()

    def fail(_lock: str) -> None:
        raise error

    monkeypatch.setattr(start, "install", fail)
    with pytest.raises(type(error)):
        start.set_up("app")
    assert stamp.read_text() == old
    stamp.unlink()
    with pytest.raises(type(error)):
        start.set_up("app")
    assert not start.VENV.exists()


def test_a_refusal_is_one_sentence_on_standard_error(
    start: ModuleType, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start, "cannot_run", lambda: "This cannot run here.")
    assert start.main([]) == 1
    shown = capsys.readouterr()
    assert (shown.out, shown.err) == ("", "This cannot run here.\n")


@pytest.mark.parametrize(
    ("system", "machine", "version", "words"),
    [
        ("Darwin", "x86_64", (3, 14), "Intel Mac"),
        ("Darwin", "x86_64", (3, 13), ""),
        ("Darwin", "arm64", (3, 14), ""),
        ("Windows", "ARM64", (3, 11), "Windows for ARM"),
        ("Windows", "AMD64", (3, 11), ""),
    ],
)
def test_systems_without_ready_made_packages_are_told(
    start: ModuleType,
    monkeypatch: pytest.MonkeyPatch,
    system: str,
    machine: str,
    version: tuple[int, int],
    words: str,
) -> None:
    monkeypatch.setattr(platform, "system", lambda: system)
    monkeypatch.setattr(platform, "machine", lambda: machine)
    monkeypatch.setattr(sys, "version_info", version)
    assert (words in start.cannot_run()) if words else start.cannot_run() == ""


def test_a_missing_venv_part_is_told_with_its_remedy(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = importlib.util.find_spec
    missing = lambda name: None if name == "ensurepip" else real(name)  # noqa: E731
    monkeypatch.setattr(importlib.util, "find_spec", missing)
    assert f"sudo apt install python{start.PYTHON_HERE}-venv" in start.cannot_run()


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("WARNING: Retrying (Retry(total=2)) after 'NewConnectionError(...)'", "internet once"),
        ("ERROR: Could not install packages: [Errno 28] No space left on device", "disk is full"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES", "not the one"),
        ("ERROR: No matching distribution found for numba==0.1", "another Python"),
        ("ERROR: something never seen", "for the reason above"),
    ],
)
def test_a_failure_of_pip_becomes_a_sentence(start: ModuleType, line: str, words: str) -> None:
    told = start.pip_failure(["Collecting numba", line])
    assert words in told
    assert ("never seen" in told) == ("never seen" in line)


def test_progress_counts_what_is_installed_here(
    start: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    lock = start.ROOT / "requirements" / "app.txt"
    progress = start.Progress(start.count_packages(lock) + 1)
    for line in (
        "Ignoring colorama: markers 'sys_platform == \"win32\"' don't match your environment",
        "Collecting numpy==2.4.6 (from -r app.txt (line 3))",
        "  Downloading numpy-2.4.6.whl (16.9 MB)",
        "Processing ./wheels/scipy-1.17.1-cp311-cp311-manylinux.whl (from -r app.txt)",
        "Installing collected packages: numpy, scipy",
    ):
        progress.show(line.strip())
    assert capsys.readouterr().out.splitlines() == [
        "[1/2] numpy==2.4.6",
        "[2/2] scipy==1.17.1",
        "Putting them in place",
    ]


def test_the_package_is_put_on_the_path_without_naming_the_folder(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    site_packages = start.VENV / "lib" / "python3.99" / "site-packages"
    site_packages.mkdir(parents=True)
    monkeypatch.setattr(start, "run_pip", lambda _lock_file: None)
    start.install("app")
    line = (site_packages / "hillbench.pth").read_text().strip()
    assert not Path(line).is_absolute()
    assert (site_packages / line).resolve() == (start.ROOT / "src").resolve()


def test_misleading_variables_stay_behind(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONPATH", "elsewhere")
    monkeypatch.setenv("HILLBENCH_DATA", "here")
    environment = start.child_environment()
    assert "PYTHONPATH" not in environment
    assert environment["HILLBENCH_DATA"] == "here"


def test_help_needs_no_environment(tmp_path: Path) -> None:
    script = tmp_path / "start.py"
    script.write_bytes((ROOT / "start.py").read_bytes())
    done = subprocess.run(
        [sys.executable, script, "--help"], capture_output=True, text=True, check=True
    )
    assert "start.py test" in done.stdout
    assert not (tmp_path / ".venv").exists()


def test_an_old_python_can_read_the_script_far_enough_to_refuse() -> None:
    text = (ROOT / "start.py").read_text(encoding="utf-8")
    tree = ast.parse(text, feature_version=(3, 6))
    refusal = next(node for node in tree.body if isinstance(node, ast.If))
    for node in tree.body[: tree.body.index(refusal)]:
        assert isinstance(node, ast.Import | ast.ImportFrom | ast.Expr)
    assert "3.11" in ast.unparse(refusal)


@pytest.mark.skipif(os.name != "posix", reason="replaces the process on POSIX only")
def test_hand_over_becomes_the_environment_s_python(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[list[str]] = []
    monkeypatch.setattr(os, "execve", lambda _file, command, _environment: seen.append(command))
    monkeypatch.setattr(subprocess, "Popen", lambda *_args, **_more: Ended())
    start.hand_over(["-m", "hillbench", "coast", "a b.json"])
    assert seen == [[str(start.venv_python()), "-m", "hillbench", "coast", "a b.json"]]


class Ended:
    def wait(self) -> int:
        return 0
