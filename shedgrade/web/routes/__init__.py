"""One module a noun; every handler of one shape: load or 404, parse, act, commit, answer."""

from shedgrade.web.routes import blocks, growers, home, people

ROUTERS = (home.router, people.router, growers.router, blocks.router)
