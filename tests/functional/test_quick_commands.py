"""Commands that must answer at once load no heavy library on their way."""

import pytest

HEAVY = ("scipy", "numba", "matplotlib", "pint", "tomlkit", "pandas", "sympy", "IPython")

NAMES_WHAT_IT_LOADED = f"""
import sys
from evenlay.cli.app import run

code = run(sys.argv[1:], draw=lambda plan: {{}})
print("loaded:", *sorted({{*{HEAVY!r}, "numpy"}} & set(sys.modules)))
sys.exit(code)
"""


def loaded(said):
    return said.out.splitlines()[-1].removeprefix("loaded:").split()


@pytest.mark.parametrize("command", [(), ("--help",), ("--version",), ("plan", "--help"), ("add", "job", "weight", "--help")])
def test_help_loads_nothing_heavy_and_no_arrays(whole_process, tmp_path, command):
    said = whole_process(*command, cwd=tmp_path, module=("-c", NAMES_WHAT_IT_LOADED))
    assert said.code == 0, said.err
    assert loaded(said) == []


@pytest.mark.parametrize("more", [(), ("--json",), ("--inch",)])
def test_check_loads_nothing_heavy(whole_process, make_job, tmp_path, more):
    said = whole_process("check", make_job(), *more, cwd=tmp_path, module=("-c", NAMES_WHAT_IT_LOADED))
    assert said.code == 0, said.err
    assert loaded(said) == ["numpy"]


def test_plan_without_pictures_loads_no_scipy_and_no_plotting(whole_process, make_job, tmp_path):
    said = whole_process("plan", make_job(), "--no-pictures", cwd=tmp_path, module=("-c", NAMES_WHAT_IT_LOADED))
    assert said.code == 0, said.err
    assert loaded(said) == ["numpy"]


def test_a_mistyped_command_loads_nothing_heavy(whole_process, tmp_path):
    said = whole_process("chekc", cwd=tmp_path, module=("-c", NAMES_WHAT_IT_LOADED))
    assert said.code == 2
    assert loaded(said) == []


def test_the_list_itself_is_seen_when_something_heavy_is_loaded(whole_process, tmp_path):
    said = whole_process("--version", cwd=tmp_path, module=("-c", "import tomlkit\n" + NAMES_WHAT_IT_LOADED))
    assert loaded(said) == ["tomlkit"]
