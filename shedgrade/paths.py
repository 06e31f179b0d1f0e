"""Where templates, static files and seed data are: beside the package in a checkout, inside it in an install."""

from pathlib import Path

PACKAGE = Path(__file__).parent
_HOME = PACKAGE if (PACKAGE / "templates").is_dir() else PACKAGE.parent

TEMPLATES = _HOME / "templates"
STATIC = _HOME / "static"
SEED_DATA = _HOME / "seed_data"
