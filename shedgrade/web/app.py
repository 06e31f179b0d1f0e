"""The web app: what it is made of, in the order a request meets it."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from fastapi.staticfiles import StaticFiles
from starlette.middleware.gzip import GZipMiddleware
from starlette.middleware.trustedhost import TrustedHostMiddleware

from shedgrade import paths
from shedgrade.settings import Settings
from shedgrade.storage.database import Database
from shedgrade.web.clock import Clock
from shedgrade.web.pages import environment
from shedgrade.web.problems import handle_problems
from shedgrade.web.routes import ROUTERS
from shedgrade.web.security import BodyLimit, SameOriginOnly, SecurityHeaders
from shedgrade.web.state import Shed


def create_app(settings: Settings, database: Database, set_up_token: str = "") -> FastAPI:
    """The app on a database that is at this program's schema already."""
    shed = Shed(settings, database, Clock(settings.zone, settings.clock_shift), set_up_token)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        yield
        database.close()

    app = FastAPI(title="shedgrade", docs_url=None, redoc_url=None, openapi_url=None, lifespan=lifespan)
    app.state.shed = shed
    app.state.templates = environment(shed.clock)
    app.mount("/static", StaticFiles(directory=paths.STATIC), name="static")  # first: most requests are for these
    for router in ROUTERS:
        app.include_router(router)
    handle_problems(app)
    app.add_middleware(BodyLimit, limit=settings.upload_limit)
    app.add_middleware(SameOriginOnly)
    app.add_middleware(TrustedHostMiddleware, allowed_hosts=list(settings.hosts))
    app.add_middleware(SecurityHeaders)
    app.add_middleware(GZipMiddleware, minimum_size=1000, compresslevel=6)  # for the shed's poor wi-fi
    return app
