"""The rooms of the house: the import contracts hold, go red when broken, and the sizes stay small."""

import ast
import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

import evenlay

PACKAGE = Path(evenlay.__file__).parent
ROOT = PACKAGE.parent.parent
MODULES = sorted(PACKAGE.rglob("*.py"))
PURE = ("quantities", "physics", "surface", "evidence", "decisions")
LONGEST = 400
MOST_ARGUMENTS = 7
MOST_STATEMENTS = 40
NO_NAMES = {"utils", "helpers", "common", "misc", "core", "manager"}


@pytest.fixture
def linted(tmp_path):
    """Lint a copy of the package in which some modules have been added to or made."""

    def run(additions):
        shutil.copytree(PACKAGE, tmp_path / "src" / "evenlay", ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", tmp_path)
        for place, text in additions.items():
            module = tmp_path / "src" / "evenlay" / place
            module.parent.mkdir(exist_ok=True)
            before = module.read_text() if module.exists() else '"""Made by a test."""\n'
            module.write_text(before + "\n" + text + "\n")
        program = "import sys; sys.dont_write_bytecode = True; from importlinter.cli import lint_imports_command; lint_imports_command()"
        environment = {**os.environ, "PYTHONPATH": str(tmp_path / "src"), "PYTHONDONTWRITEBYTECODE": "1", "COLUMNS": "200"}
        done = subprocess.run(
            [sys.executable, "-c", program, "--no-cache"],
            cwd=tmp_path,
            env=environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        return done.returncode, done.stdout + done.stderr

    return run


LAYERS, PURITY, CIRCLES = "Rooms: imports point down only", "The pure rooms know no file", "No circles inside a room"


def test_the_house_as_it_stands_keeps_every_contract(linted):
    code, said = linted({})
    assert code == 0, said
    assert "3 kept, 0 broken" in said


@pytest.mark.parametrize(
    ("contract", "additions"),
    [
        (LAYERS, {"physics/heat.py": "from evenlay.job.records import Job"}),
        (LAYERS, {"physics/heat.py": "def late():\n    from evenlay.decisions import recipe"}),
        (LAYERS, {"surface/passes.py": "import evenlay.evidence.depth"}),
        (LAYERS, {"cli/screens.py": "import evenlay.pages.figures"}),
        (LAYERS, {"files/planfile.py": "import evenlay.answers.stamp"}),
        ("exhaustive", {"garage/__init__.py": "WHEELS = 4"}),
        (PURITY, {"physics/heat.py": "from pathlib import Path"}),
        (PURITY, {"quantities/known.py": "import json"}),
        (PURITY, {"decisions/causes/joint.py": "import time"}),
        (PURITY, {"evidence/depth.py": "import pydantic"}),
        (PURITY, {"surface/passes.py": "import random"}),
        (CIRCLES, {"physics/heat.py": "import evenlay.physics.drive", "physics/drive.py": "import evenlay.physics.heat"}),
    ],
    ids=lambda value: value if isinstance(value, str) else "-".join(value),
)
def test_a_broken_contract_goes_red_and_is_named(linted, contract, additions):
    code, said = linted(additions)
    assert code == 1, said
    if contract != "exhaustive":
        (line,) = [each for each in said.splitlines() if each.startswith(contract) and each.rstrip().endswith(("KEPT", "BROKEN"))]
        assert line.rstrip().endswith("BROKEN"), said
    else:
        assert "garage" in said


def test_the_contracts_cover_every_room():
    rooms = {path.name for path in PACKAGE.iterdir() if path.is_dir() and (path / "__init__.py").exists()}
    contracts = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["importlinter"]["contracts"]
    layers = {name.strip() for line in contracts[0]["layers"] for name in line.split("|")}
    assert rooms | {"__main__"} == layers
    assert contracts[0]["exhaustive"] is True
    assert {f"evenlay.{room}" for room in PURE} == set(contracts[1]["source_modules"])


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_modules_and_functions_stay_small_and_say_what_they_are(path):
    text = path.read_text()
    tree = ast.parse(text)
    assert len(text.splitlines()) <= LONGEST
    assert ast.get_docstring(tree)
    assert path.stem not in NO_NAMES
    for node in ast.walk(tree):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        arguments = node.args.args + node.args.kwonlyargs + node.args.posonlyargs
        told = "noqa: PLR0913 - " in text.splitlines()[node.lineno - 1] or path.name == "app.py"
        assert len([each for each in arguments if each.arg not in ("self", "cls")]) <= MOST_ARGUMENTS or told, node.name
        statements = sum(isinstance(inner, ast.stmt) for inner in ast.walk(node)) - 1
        assert statements <= MOST_STATEMENTS + 5, node.name


@pytest.mark.parametrize(
    "path", [path for path in MODULES if path.relative_to(PACKAGE).parts[0] in PURE], ids=lambda path: str(path.relative_to(PACKAGE))
)
def test_the_pure_rooms_neither_print_nor_open_nor_reduce_through_threaded_products(path):
    for node in ast.walk(ast.parse(path.read_text())):
        assert not (isinstance(node, ast.BinOp | ast.AugAssign) and isinstance(node.op, ast.MatMult)), node.lineno
        if isinstance(node, ast.Call):
            name = node.func.id if isinstance(node.func, ast.Name) else getattr(node.func, "attr", "")
            assert name not in {"print", "open", "dot", "matmul", "tensordot", "vdot", "inner"}, node.lineno
        if isinstance(node, ast.Global):
            pytest.fail(f"global state, line {node.lineno}")


def test_check_and_plan_load_no_heavy_library_on_their_way():
    program = (
        "import sys; import evenlay.answers.check, evenlay.answers.plan_files, evenlay.cli.app; "
        "print(sorted({name.split('.')[0] for name in sys.modules} & {'scipy', 'matplotlib', 'numba', 'pint', 'pandas'}))"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "[]"
