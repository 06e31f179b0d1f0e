"""Fails unless the installed program finds its own pages, standards and migrations, and not the checkout's."""

import sys
from pathlib import Path

from shedgrade import paths
from shedgrade.domain.spec.library import standards
from shedgrade.storage.database import Database
from shedgrade.storage.migrate import upgrade

home = Path(sys.argv[1])
for folder in (paths.TEMPLATES, paths.STATIC, paths.SEED_DATA):
    assert folder.is_relative_to(home), f"{folder} is not in the install"
    assert any(folder.iterdir()), f"{folder} is empty"
assert standards(), "no standard came with the program"
upgrade(Database(str(home / "shed.db")))
