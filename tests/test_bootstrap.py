"""Set-up: from whatever Python there is to one that has all that a command needs."""

import ast
import os
import stat
import sys
import time
from pathlib import Path

import pytest

from weldlog import bootstrap, system_packages

ROOT = Path(__file__).resolve().parent.parent
READ_BEFORE_SET_UP = ("manage.py", "weldlog/bootstrap.py", "weldlog/system_packages.py")


def program(path: Path, *lines: str) -> str:
    """Write a program of the shell that a search may find."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text("\n".join(("#!/bin/sh", *lines)), encoding="utf-8")
    path.chmod(path.stat().st_mode | stat.S_IXUSR)
    return str(path)


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give an empty home and an empty path: no Python to be found but what a test puts there."""
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.setenv("PATH", str(tmp_path / "bin"))
    monkeypatch.delenv("PYENV_ROOT", raising=False)
    folders = bootstrap._manager_folders()
    inside = [(folder, name) for folder, name in folders if folder.is_relative_to(tmp_path)]
    monkeypatch.setattr(bootstrap, "_manager_folders", lambda: inside)
    return tmp_path


@pytest.fixture
def environment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give a copy of the project's requirements with no `.venv` beside it."""
    for name in (bootstrap.REQUIREMENTS, bootstrap.TEST_REQUIREMENTS):
        (tmp_path / name).write_bytes((ROOT / name).read_bytes())
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", tmp_path / ".venv")
    return tmp_path / ".venv"


# --- a Python that is new enough


@pytest.mark.parametrize("name", READ_BEFORE_SET_UP)
def test_an_old_python_can_read_what_runs_before_set_up(name: str) -> None:
    ast.parse((ROOT / name).read_text(encoding="utf-8"), feature_version=(3, 9))


def test_a_stand_in_on_the_path_that_refuses_is_passed_over(home: Path) -> None:
    program(home / "bin/python3.13", "echo 'python3.13: command not found'; exit 127")
    good = program(home / "bin/python3.12", f'exec {sys.executable} "$@"')
    assert bootstrap.find_python() == good


def test_an_old_python_is_passed_over(home: Path) -> None:
    program(home / "bin/python3", "exit 1")
    with pytest.raises(bootstrap.NotReady, match=r"Python 3\.12 or newer is needed"):
        bootstrap.find_python()


@pytest.mark.parametrize(
    "place",
    [
        ".pyenv/versions/3.12.7/bin/python",
        ".asdf/installs/python/3.13.1/bin/python",
        ".local/share/mise/installs/python/3.14.0/bin/python",
        ".local/share/uv/python/cpython-3.13.1-linux/bin/python3",
    ],
)
def test_a_version_managers_folder_is_searched(home: Path, place: str) -> None:
    good = program(home / place, f'exec {sys.executable} "$@"')
    assert bootstrap.find_python() == good


def test_uv_is_asked_last_and_is_not_made_to_fetch_one(home: Path) -> None:
    hidden = program(home / "elsewhere/python", f'exec {sys.executable} "$@"')
    program(home / "bin/uv", f'[ "$3" = --no-python-downloads ] && echo {hidden}')
    assert bootstrap.find_python() == hidden


def test_the_sentence_says_how_to_get_one(home: Path) -> None:
    with pytest.raises(bootstrap.NotReady, match="uv python install"):
        bootstrap.find_python()


# --- `.venv`


def test_a_set_up_that_was_cut_short_does_not_pass_for_a_finished_one(
    environment: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def cut_short(*_: object) -> None:
        raise KeyboardInterrupt

    program(Path(bootstrap.environment_python()), "exit 0")
    monkeypatch.setattr(bootstrap, "_make_environment", lambda: None)
    monkeypatch.setattr(bootstrap, "_pip_install", cut_short)
    with pytest.raises(KeyboardInterrupt):
        bootstrap._install(bootstrap.REQUIREMENTS)
    assert not bootstrap._is_installed(bootstrap.REQUIREMENTS)
    monkeypatch.setattr(bootstrap, "_pip_install", lambda _name: None)
    bootstrap._install(bootstrap.REQUIREMENTS)
    assert bootstrap._is_installed(bootstrap.REQUIREMENTS)


def test_changed_requirements_are_installed_again(
    environment: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    program(Path(bootstrap.environment_python()), "exit 0")
    monkeypatch.setattr(bootstrap, "_pip_install", lambda _name: None)
    monkeypatch.setattr(bootstrap, "_make_environment", lambda: None)
    bootstrap._install(bootstrap.REQUIREMENTS)
    listed = environment.parent / bootstrap.REQUIREMENTS
    listed.write_text(listed.read_text(encoding="utf-8") + "# more\n", encoding="utf-8")
    assert not bootstrap._is_installed(bootstrap.REQUIREMENTS)


def test_an_environment_whose_python_is_gone_is_not_finished(environment: Path) -> None:
    environment.mkdir()
    listed = environment.parent / bootstrap.REQUIREMENTS
    (environment / bootstrap.REQUIREMENTS).write_bytes(listed.read_bytes())
    assert not bootstrap._is_installed(bootstrap.REQUIREMENTS)


def test_a_failed_installation_is_one_sentence_with_pips_last_complaint(
    environment: Path,
) -> None:
    complaint = "ERROR: Could not find a version that satisfies the requirement"
    program(Path(bootstrap.environment_python()), f"echo '{complaint}'; exit 1")
    with pytest.raises(bootstrap.NotReady, match=f"{complaint}.*check the network"):
        bootstrap._pip_install(bootstrap.REQUIREMENTS)


def test_a_folder_that_cannot_be_written_is_one_sentence(
    environment: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (environment.parent / "file").write_text("", encoding="utf-8")
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", environment.parent / "file" / ".venv")
    with pytest.raises(bootstrap.NotReady, match="copy weldlog to a folder that you may write to"):
        bootstrap._refuse_read_only_folder()


def test_every_listed_package_has_a_hash_and_no_address() -> None:
    for name in (bootstrap.REQUIREMENTS, bootstrap.TEST_REQUIREMENTS):
        text = (ROOT / name).read_text(encoding="utf-8")
        assert text.count(" \\\n    --hash=sha256:") >= text.count("==") > 0
        assert "://" not in text
        assert "--index" not in text
        assert "--find-links" not in text


def test_once_set_up_a_start_costs_next_to_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    # Either would take the place of the tests, or of minutes; what runs them is set up already.
    monkeypatch.setattr(bootstrap, "ENVIRONMENT", Path(sys.prefix))
    monkeypatch.setattr(bootstrap, "_install", lambda name: pytest.fail(f"{name} is not installed"))
    monkeypatch.setattr(bootstrap, "_run_again", lambda *_: pytest.fail("another Python is wanted"))
    bootstrap.enter(["manage.py", "check"])  # the files are in the system's cache from here on
    started = time.perf_counter()
    bootstrap.enter(["manage.py", "check"])
    assert time.perf_counter() - started < 0.05


# --- the system's packages


def part(*, is_there: bool) -> system_packages.Part:
    return system_packages.Part("A part", lambda: is_there, ("part-for-debian",), ("part",))


def test_what_is_there_is_not_installed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(system_packages, "install", lambda *_: pytest.fail("nothing is missing"))
    bootstrap._bring([part(is_there=True)])


def test_who_may_not_install_is_told_the_line(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    program(home / "bin/apt-get")
    line = "sudo apt-get update && sudo apt-get install part-for-debian"
    with pytest.raises(system_packages.NotInstalled, match=f"A part is missing.*{line}"):
        bootstrap._bring([part(is_there=False)])


def test_without_debian_the_line_is_that_of_the_place(home: Path) -> None:
    program(home / "bin/brew")
    assert system_packages.install_line([part(is_there=False)]) == "brew install part"


def test_an_installation_that_failed_says_what_was_said(
    home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    program(home / "bin/apt-get", "echo 'E: Unable to locate package' >&2; exit 100")
    with pytest.raises(system_packages.NotInstalled, match="said: E: Unable to locate package"):
        system_packages.install([part(is_there=False)], lambda _text: None)


def test_the_demo_keeps_its_own_files_whatever_the_surroundings_say(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = dict(os.environ)
    monkeypatch.setattr(bootstrap, "ROOT", tmp_path)
    monkeypatch.setattr(os, "environ", before | {"WELDLOG_DATABASE_URL": "postgres://a@b/school"})
    bootstrap._settle_demo()
    assert "WELDLOG_DATABASE_URL" not in os.environ
    assert os.environ["WELDLOG_DATA"] == str(tmp_path / "var/demo")
    key = os.environ["WELDLOG_SECRET_KEY"]
    bootstrap._settle_demo()
    assert os.environ["WELDLOG_SECRET_KEY"] == key, "the key outlasts a restart"
