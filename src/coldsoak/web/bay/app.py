"""The bay as a web application: pages for people, the same entries for programs, nothing from a network."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.middleware.gzip import GZipMiddleware

from coldsoak._version import __version__
from coldsoak.shop.store import Shop
from coldsoak.web.bay import refusals
from coldsoak.web.bay.api_values import described
from coldsoak.web.bay.devices import Devices
from coldsoak.web.bay.door import Door
from coldsoak.web.bay.headers import Headers
from coldsoak.web.bay.hosts import Hosts
from coldsoak.web.bay.journal import Journal
from coldsoak.web.bay.methods import Methods
from coldsoak.web.bay.refusals import Caught
from coldsoak.web.bay.routes import (
    api,
    build,
    entries,
    exchange,
    files,
    fill,
    health,
    history,
    jobs,
    judge,
    live,
    login,
    new_job,
    people,
    photos,
    plan,
    plot,
    prove,
    readings,
    record,
    sheets,
    worksheet,
)
from coldsoak.web.bay.sizes import Sizes
from coldsoak.web.bay.threads import few_pages_at_once

ROUTES = (
    health,
    files,
    login,
    people,
    sheets,
    new_job,
    jobs,
    worksheet,
    judge,
    plan,
    plot,
    record,
    history,
    build,
    fill,
    prove,
    photos,
    entries,
    live,
    api,
    readings,
    exchange,
)


def create_app(shop: Shop, *, lan: bool = False, hosts: tuple[str, ...] = ()) -> FastAPI:
    """Return the application of one shop.

    `lan` asks everybody for a passphrase; `hosts` are the names under which the shop's machine is known there.
    """

    @asynccontextmanager
    async def running(_: FastAPI) -> AsyncIterator[None]:
        few_pages_at_once()
        yield
        shop.close()

    app = FastAPI(
        title="Coldsoak",
        version=__version__,
        description="Jobs of a gearbox shop: entries, exports and files.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        lifespan=running,
    )
    app.state.shop = shop
    app.state.door = Door(shop, lan=lan)
    refusals.install(app)
    places = [route for one in ROUTES for route in one.router.routes]
    app.add_middleware(Devices)  # the first is the innermost
    app.add_middleware(GZipMiddleware, minimum_size=1024, compresslevel=6)
    app.add_middleware(Methods, routes=[*app.routes, *places])
    app.add_middleware(Sizes)
    app.add_middleware(Hosts, names=hosts)
    app.add_middleware(Caught)
    app.add_middleware(Headers)
    app.add_middleware(Journal)
    for one in ROUTES:
        app.include_router(one.router)
    described(app.openapi())  # made once, and kept by the application
    return app
