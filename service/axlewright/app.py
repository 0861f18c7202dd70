"""Builds the application: the one place that knows every operation."""

import os
from collections.abc import Sequence
from typing import Any

from litestar import Litestar, Request
from litestar.datastructures import State
from litestar.handlers import HTTPRouteHandler

from axlewright.api.assess import assess
from axlewright.api.balance import assess_balance, plan_shift
from axlewright.api.body import BODY_TIME_LIMIT
from axlewright.api.contract import OPENAPI, contract
from axlewright.api.cross_origin import CrossOrigin
from axlewright.api.edge import Edge
from axlewright.api.errors import EXCEPTION_HANDLERS
from axlewright.api.fleet.access import Access, refuse_other_scopes
from axlewright.api.fleet.asking import MEMORY, FleetRequest
from axlewright.api.fleet.kept import KEPT_HANDLERS
from axlewright.api.fleet.reading_back import READING_HANDLERS
from axlewright.api.fleet.recorded import RECORDED_HANDLERS
from axlewright.api.fleet.weighs import WEIGH_HANDLERS
from axlewright.api.health import healthz, readyz
from axlewright.api.inflation import (
    find_leaks,
    plan_itinerary,
    recommend_inflation,
    set_monitor,
    translate_pressure,
)
from axlewright.api.loads import (
    calibrate_loads,
    check_loads,
    find_envelope,
    find_headroom,
    forecast_loads,
    judge_towing,
)
from axlewright.api.operations import operations_of
from axlewright.api.query import refuse_invalid_parameters
from axlewright.api.sessions import merge_sessions, plan_session, reconcile_session
from axlewright.api.solving import SOLVERS, Solvers
from axlewright.api.tires import get_tire_table, list_tire_tables, read_tire
from axlewright.api.upkeep import list_upkeep_due, write_upkeep_calendar
from axlewright.api.walk_round import judge_walk_round
from axlewright.contract.openapi import openapi_document
from axlewright.fleet.memory import Memory
from axlewright.settings import Settings

ROUTE_HANDLERS: tuple[HTTPRouteHandler, ...] = (
    assess,
    reconcile_session,
    merge_sessions,
    plan_session,
    check_loads,
    forecast_loads,
    find_envelope,
    find_headroom,
    judge_towing,
    calibrate_loads,
    assess_balance,
    plan_shift,
    recommend_inflation,
    translate_pressure,
    plan_itinerary,
    set_monitor,
    find_leaks,
    list_tire_tables,
    get_tire_table,
    read_tire,
    judge_walk_round,
    list_upkeep_due,
    write_upkeep_calendar,
    healthz,
    readyz,
    contract,
)
FLEET_HANDLERS = (*KEPT_HANDLERS, *RECORDED_HANDLERS, *WEIGH_HANDLERS, *READING_HANDLERS)


def create_app(settings: Settings) -> Litestar:
    """Return the service's application; its store is reached when the first request asks for it."""
    if settings.stateless:
        return assembled(settings, ROUTE_HANDLERS)
    memory = Memory.at(settings.database_url, settings.rate_limit)
    return assembled(settings, (*ROUTE_HANDLERS, *FLEET_HANDLERS), memory)


def assembled(settings: Settings, route_handlers: Sequence[HTTPRouteHandler], memory: Memory | None = None) -> Litestar:
    """Return an application of the given operations behind the service's edge."""
    app = Litestar(
        route_handlers,
        before_request=_refuse_at_once,
        debug=False,
        exception_handlers=EXCEPTION_HANDLERS,
        logging_config=None,
        openapi_config=None,
        request_class=FleetRequest,
        request_max_body_size=settings.body_limit_bytes,
        state=State({BODY_TIME_LIMIT: settings.body_time_limit_s}),
    )
    app.state[SOLVERS] = Solvers(settings.solvers_at_once, settings.solver_limit_s)
    app.state[OPENAPI] = openapi_document(operations_of(app))
    app.state[MEMORY] = memory
    if memory is not None:
        app.on_shutdown.append(memory.engines.dispose)
        app.asgi_handler = Access(app.asgi_handler, memory, guards_everything=settings.keys == "everything")
    app.asgi_handler = Edge(app.asgi_handler, CrossOrigin(settings.cors_origins), settings.body_time_limit_s)
    return app


async def _refuse_at_once(request: Request[Any, Any, Any]) -> None:
    """Refuse, before a body is read, what the key does not allow, and parameters that break their declarations."""
    refuse_other_scopes(request)
    refuse_invalid_parameters(request)


def app_from_environment() -> Litestar:
    """Return the application that the environment describes: what a server process loads."""
    return create_app(Settings.from_environment(os.environ))
