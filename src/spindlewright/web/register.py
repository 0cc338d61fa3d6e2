"""Collects the routes: every module of ``pages/``, ``stages/`` and ``api/`` that has a ``router``."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterator
from importlib import import_module
from types import ModuleType

from fastapi import APIRouter

from spindlewright.web import api, pages, stages


def routers() -> Iterator[APIRouter]:
    """Their routers, by package and name. Pages and stages stay out of the OpenAPI description; the API is in it."""
    for package in (pages, stages, api):
        for module in modules_of(package):
            router: APIRouter = module.router
            for route in router.routes:
                if package is not api and hasattr(route, "include_in_schema"):
                    route.include_in_schema = False
            yield router


def modules_of(package: ModuleType) -> Iterator[ModuleType]:
    """The modules of one of the packages, by name."""
    for found in sorted(pkgutil.iter_modules(package.__path__), key=lambda one: one.name):
        yield import_module(f"{package.__name__}.{found.name}")
