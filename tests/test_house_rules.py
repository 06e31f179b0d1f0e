"""The rules of the house that no linter knows."""

import ast
import re
import subprocess
import sys
from fnmatch import fnmatch
from pathlib import Path
from statistics import median

HOME = Path(__file__).parent.parent
TOP_LEVEL = {
    "DEVELOPERS.md",
    "README.md",
    "pyproject.toml",
    "seed_data",
    "shedgrade",
    "static",
    "templates",
    "tests",
}
WRITTEN = [HOME / name for name in (".ci", "seed_data", "shedgrade", "static", "templates", "tests")]
UNFINISHED = re.compile(r"\bTOD[O]\b|\bFIXM[E]\b|# XX[X]|NotImplemented[E]rror")  # the brackets keep this line out
SLOW_TO_IMPORT = {"alembic", "fastapi", "jinja2", "numpy", "scipy", "sqlalchemy", "sqlmodel", "starlette", "uvicorn"}

SHOW_HELP = """
import sys
from shedgrade.cli import app
try:
    app(["--help"])
except SystemExit as ended:
    assert not ended.code
print(*sys.modules, file=sys.stderr)
"""
IMPORT_DOMAIN = """
import pkgutil, sys
import shedgrade.domain
for module in pkgutil.walk_packages(shedgrade.domain.__path__, "shedgrade.domain."):
    __import__(module.name)
print(*sys.modules, file=sys.stderr)
"""


def ignored_by_git(name: str) -> bool:
    """Whether a file of this name at the top is made by a tool and stays out of the repository."""
    patterns = (HOME / ".gitignore").read_text().split()
    return any(fnmatch(name, pattern.rstrip("/")) for pattern in patterns)


def written_files() -> list[Path]:
    """Every text file somebody here wrote."""
    files = (path for folder in WRITTEN for path in folder.rglob("*") if path.is_file())
    made = {"vendor", "__pycache__", "fonts"}
    return [path for path in files if made.isdisjoint(path.parts) and not path.name.startswith(".")]


def modules() -> list[Path]:
    """The program's own modules, without the steps of its migrations."""
    return [path for path in (HOME / "shedgrade").rglob("*.py") if path.parent.name != "versions"]


def lengths_of_functions() -> list[int]:
    """Lines of every function of the program, its docstring not counted."""
    trees = (ast.walk(ast.parse(path.read_text())) for path in modules())
    functions = (node for tree in trees for node in tree if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))
    return [lines_of(function) for function in functions]


def lines_of(function: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    said = function.body[0] if ast.get_docstring(function) else None
    docstring = (said.end_lineno or 0) - said.lineno + 1 if said else 0
    return (function.end_lineno or 0) - function.lineno + 1 - docstring


def loaded_by(program: str) -> set[str]:
    """The top-level packages that a Python of its own has imported after running the program."""
    done = subprocess.run([sys.executable, "-c", program], cwd=HOME, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return {name.partition(".")[0] for name in done.stderr.splitlines()[-1].split()}


def test_top_level_holds_what_it_may() -> None:
    visible = {path.name for path in HOME.iterdir() if not path.name.startswith(".")}
    assert {name for name in visible if not ignored_by_git(name)} == TOP_LEVEL


def test_nothing_is_left_unfinished() -> None:
    texts = {path: path.read_text(encoding="utf-8", errors="replace") for path in written_files()}
    assert {path: found for path, text in texts.items() if (found := UNFINISHED.findall(text))} == {}


def test_only_a_missing_browser_skips_a_test() -> None:
    skipping = {
        path for path in (HOME / "tests").rglob("*.py") if re.search(r"\bpytest\.(skip|mark\.skip)", path.read_text())
    }
    assert skipping == {HOME / "tests" / "browser" / "conftest.py"}


def test_no_module_is_a_drawer_for_odds_and_ends() -> None:
    names = {path.stem for path in (*modules(), *(HOME / "tests").rglob("*.py"))}
    assert names.isdisjoint({"common", "helper", "helpers", "manager", "misc", "util", "utils"})


def test_functions_are_small() -> None:
    assert median(lengths_of_functions()) < 10


def test_most_files_are_small() -> None:
    sizes = [len(path.read_text().splitlines()) for path in modules()]
    assert sum(size <= 150 for size in sizes) > 0.75 * len(sizes)


def test_help_is_shown_without_the_slow_packages() -> None:
    loaded = loaded_by(SHOW_HELP)
    assert "typer" in loaded
    assert loaded & SLOW_TO_IMPORT == set()


def test_domain_needs_neither_web_nor_database_and_calls_numpy_late() -> None:
    loaded = loaded_by(IMPORT_DOMAIN)
    assert "shedgrade" in loaded
    assert loaded & (SLOW_TO_IMPORT | {"platformdirs", "pydantic", "rich", "sqlite3", "typer"}) == set()


def test_the_program_runs_as_a_module_too() -> None:
    command = [sys.executable, "-m", "shedgrade", "--help"]
    said = subprocess.run(command, capture_output=True, text=True, check=True, cwd=HOME).stdout
    assert "Usage: shedgrade [OPTIONS] COMMAND" in " ".join(said.split())
