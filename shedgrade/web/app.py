"""The web app: what it is made of, in the order a request meets it."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from functools import lru_cache

from fastapi import APIRouter, FastAPI
from starlette.middleware.gzip import GZipMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.routing import BaseRoute

from shedgrade import paths
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web.clock import Clock
from shedgrade.web.pages import environment
from shedgrade.web.problems import handle_problems
from shedgrade.web.routes import ROUTERS
from shedgrade.web.security import BodyLimit, SameOriginOnly, SecurityHeaders
from shedgrade.web.state import Shed
from shedgrade.web.static_files import TOP, KeptFiles
from shedgrade.web.tls import Tls


def create_app(settings: Settings, database: Database, set_up_token: str = "", tls: Tls | None = None) -> FastAPI:
    """The app on a database that is at this program's schema already."""
    shed = Shed(settings, database, Clock(settings.zone, settings.clock_shift), set_up_token, tls=tls)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        yield
        database.close()

    app = FastAPI(title="shedgrade", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.shed = shed
    app.state.templates = environment(shed.clock)
    # First: most requests are for these.
    app.mount(f"{TOP}/{{version}}", KeptFiles(directory=paths.STATIC), name="static")
    app.router.routes.extend(_routes())
    handle_problems(app)
    app.add_middleware(BodyLimit, limit=settings.upload_limit)
    app.add_middleware(SameOriginOnly)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=list(settings.hosts))
    app.add_middleware(SecurityHeaders)
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=6)  # for the shed's poor wi-fi
    return app


@lru_cache
def _routes() -> tuple[BaseRoute, ...]:
    """Every route, included once for all apps of the process: what the handlers ask for is worked out when a request
    first comes by, anew for each app that includes a router, and that takes longer than answering."""
    whole = APIRouter()
    for router in ROUTERS:
        whole.include_router(router)
    return tuple(whole.routes)
