"""What the documents say is so."""

import re
import tomllib
from pathlib import Path

import pytest

from shedgrade.domain.bound import Bound

HOME = Path(__file__).parent.parent
README = (HOME / "README.md").read_text("utf-8")
DEVELOPERS = (HOME / "DEVELOPERS.md").read_text("utf-8")
PROJECT = tomllib.loads((HOME / "pyproject.toml").read_text("utf-8"))
COMMANDS = re.findall(r"```sh\n(.+?)\n```", README, re.DOTALL)


def packages(lines: list[str]) -> set[str]:
    return {re.split(r"[\[>=<]", line)[0] for line in lines}


def test_two_commands_start_the_demo_and_pass_the_tests() -> None:
    assert COMMANDS[0].endswith("pip install -e . && .venv/bin/shedgrade demo")
    assert COMMANDS[1] == ".venv/bin/pip install -e '.[test]' && .venv/bin/python -m pytest"


def test_the_gate_runs_the_readmes_test_command() -> None:
    assert "python -m pytest" in (HOME / ".ci" / "run").read_text("utf-8").splitlines()[-1]


@pytest.mark.parametrize("picture", re.findall(r"\]\((static/[^)]+)\)", README))
def test_every_picture_is_there(picture: str) -> None:
    assert (HOME / picture).is_file()


def test_every_module_named_is_there() -> None:
    table = DEVELOPERS.split("| module |")[1].split("\n\n")[0]
    rows = [line.split("|")[1] for line in table.splitlines()[2:]]
    assert len(rows) > 10
    for row in rows:
        named = re.findall(r"`([^`]+)`", row)
        folder = (HOME / "shedgrade" / named[0]).parent
        assert (HOME / "shedgrade" / named[0]).exists(), named[0]
        assert all((folder / name).exists() or (HOME / "shedgrade" / name).exists() for name in named[1:]), row


def test_every_setting_is_told_and_every_one_told_is_read() -> None:
    program = "".join(
        path.read_text("utf-8")
        for path in (*HOME.joinpath("shedgrade").rglob("*.py"), *HOME.joinpath("tests", "support").rglob("*.py"))
    )
    read = set(re.findall(r"SHEDGRADE_[A-Z_]+", program))
    told = set(re.findall(r"^\| `(SHEDGRADE_[A-Z_]+)`", DEVELOPERS, re.MULTILINE))
    assert read == told


def test_every_library_has_its_reason() -> None:
    extras = PROJECT["project"]["optional-dependencies"]
    wanted = packages(PROJECT["project"]["dependencies"]) | packages(extras["test"]) | packages(extras["dev"])
    table = DEVELOPERS.split("## What we lean on")[1]
    assert {name for name in wanted - {"shedgrade"} if name not in table} == set()


def test_every_example_bound_is_understood() -> None:
    table = DEVELOPERS.split("### Figures and bounds")[1].split("\n### ")[0]
    rows = [line.split("|")[1] for line in table.splitlines() if line.startswith("| `")]
    bounds = [bound for row in rows for bound in re.findall(r'`"([^"]+)"`', row)]
    assert len(bounds) >= len(rows) > 4
    for bound in bounds:
        Bound.parse(bound)
