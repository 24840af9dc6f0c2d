"""A fresh machine: `python3 service` and `python3 tests` make their environment, or say in words why they cannot.

The set-up files are the real ones and pip is the real pip; only the packages are tiny, so that it takes seconds and no
network. The full set-up in a fresh clone is part of `.ci/run`.
"""

from __future__ import annotations

import ast
import signal

import pytest

from house import ROOT
from little_house import LittleHouse, told

SETTING_UP = "Setting up"


@pytest.fixture(scope="module")
def furnished(tmp_path_factory):
    """A house, in a folder with a space, that was set up once."""
    house = LittleHouse.built(tmp_path_factory.mktemp("first") / "a house")
    assert told(house.run("service")).program == "stampwright"
    return house


@pytest.fixture
def bare(tmp_path):
    return LittleHouse.built(tmp_path / "house")


def test_the_first_command_runs_the_demo_in_its_own_environment(furnished):
    ran = told(furnished.run("service"))
    assert (ran.program, ran.arguments, ran.prefix) == ("stampwright", "['demo']", str(furnished.root / ".venv"))


def test_a_second_start_sets_nothing_up(furnished):
    assert furnished.run("service").stderr == ""


def test_arguments_are_handed_on(furnished):
    assert told(furnished.run("service", "serve", "--port", "0")).arguments == "['serve', '--port', '0']"


def test_the_service_works_in_the_folder_of_its_caller(furnished, tmp_path):
    assert told(furnished.run("service", cwd=tmp_path)).folder == str(tmp_path)


def test_the_tests_run_at_the_root_wherever_they_are_called_from(furnished, tmp_path):
    ran = told(furnished.run("tests", "-k", "corner", cwd=tmp_path))
    assert (ran.program, ran.arguments, ran.folder) == ("pytest", "['-k', 'corner']", str(furnished.root))


def test_the_corpora_are_run_by_name(furnished):
    ran = told(furnished.run("tests", "corpora", "--fetch"))
    assert (ran.program, ran.arguments) == ("corpora", "['--fetch']")


def test_a_callers_python_path_does_not_leak_in(furnished, tmp_path):
    (tmp_path / "stampwright.py").write_text("raise SystemExit('a stranger')")
    assert told(furnished.run("service", PYTHONPATH=str(tmp_path))).program == "stampwright"


def test_a_changed_list_of_packages_is_set_up_again(furnished):
    lock = furnished.root / "service/requirements.lock"
    lock.write_text(lock.read_text() + "# newer\n")
    assert SETTING_UP in furnished.run("service").stderr


def test_a_folder_at_another_place_is_set_up_again_for_an_environment_knows_its_own(furnished, tmp_path):
    moved = furnished.copied_to(tmp_path / "elsewhere" / "house")
    after = moved.run("service")
    assert SETTING_UP in after.stderr
    assert told(after).prefix == str(moved.root / ".venv")


def test_a_set_up_that_was_killed_is_done_again(bare):
    process = bare.start("service")
    assert SETTING_UP in process.stderr.readline()
    process.send_signal(signal.SIGKILL)
    process.communicate()
    again = bare.run("service")
    assert SETTING_UP in again.stderr
    assert told(again).program == "stampwright"


def test_of_two_started_at_once_one_sets_up_and_one_waits(bare):
    first = bare.start("service", "one")
    assert SETTING_UP in first.stderr.readline()
    first.send_signal(signal.SIGSTOP)  # it takes its time, however quick the machine is
    second = bare.start("service", "two")
    assert "waiting" in second.stderr.readline()
    first.send_signal(signal.SIGCONT)
    said, more = second.communicate()
    assert SETTING_UP not in more
    assert "['two']" in said
    assert "['one']" in first.communicate()[0]


def test_without_packages_to_be_had_it_says_so(bare):
    refused = bare.run("service", PIP_FIND_LINKS=str(bare.root))
    assert refused.returncode == 1
    assert "It needs the network once" in refused.stderr


def test_a_package_that_is_not_the_locked_one_is_refused(bare):
    lock = bare.root / "service/requirements.lock"
    lock.write_text(lock.read_text()[:-3] + "00\n")
    refused = bare.run("service")
    assert refused.returncode == 1
    assert "DO NOT MATCH THE HASHES" in refused.stderr


def test_an_environment_somebody_else_made_is_left_alone(bare):
    bare.write(".venv/pyvenv.cfg", "home = theirs\n")
    refused = bare.run("service")
    assert refused.returncode == 1
    assert "was not made by this set-up" in refused.stderr
    assert (bare.root / ".venv/pyvenv.cfg").read_text() == "home = theirs\n"


def test_a_folder_it_cannot_write_to_is_named(bare):
    (bare.root / ".venv.lock").mkdir()  # stands for every refusal of the system, and holds for root as well
    refused = bare.run("service")
    assert refused.returncode == 1
    assert f"cannot write {bare.root / '.venv'}" in refused.stderr


OLD_PYTHON = "sys.version_info = (3, 9, 2, 'final', 0)"
NO_INSTALLER = """
from importlib import util
find = util.find_spec
util.find_spec = lambda name: None if name == "ensurepip" else find(name)
"""


@pytest.mark.parametrize(
    ("machine", "words"), [(OLD_PYTHON, "needs Python 3.11 or newer"), (NO_INSTALLER, "the package python3-venv")]
)
def test_a_machine_that_lacks_something_is_told_what(bare, machine, words):
    start = "sys.path.insert(0, 'service')\nimport environment\nenvironment.run('-V')\n"
    bare.write("other/__main__.py", f"import sys\n{machine}\n{start}")
    refused = bare.run("other")
    assert refused.returncode == 1
    assert words in refused.stderr


@pytest.mark.parametrize("name", ["service/environment.py", "service/__main__.py", "tests/__main__.py"])
def test_what_an_older_python_reads_is_written_in_its_words(name):
    ast.parse((ROOT / name).read_text(encoding="utf-8"), feature_version=(3, 7))
