"""The server of the page: one truck's file, one worker that reads, stands and runs, and a socket for each tab."""

import asyncio
import json
import traceback
from collections import OrderedDict
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import Any

import anyio
from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.websockets import WebSocket, WebSocketDisconnect

from sim.describe.estimates.truck import typed_system
from sim.describe.files.reader import Document
from sim.describe.runs import Launch
from sim.describe.shown import SYSTEMS, System, shown_in, system
from sim.errors import JounceError
from sim.show.pages.local.aboard import aboard
from sim.show.pages.local.answers import answer, as_edited, vehicle_of
from sim.show.pages.local.at_boxes import in_form_words
from sim.show.pages.local.changeable import changeable
from sim.show.pages.local.course_of_points import kept_course
from sim.show.pages.local.courses import SPEED, SPEEDS, Courses, named
from sim.show.pages.local.estimating import Estimating
from sim.show.pages.local.fields import form
from sim.show.pages.local.guarded import RESULTS, Guarded
from sim.show.pages.local.hours_of_track import BOXES as HOURS_BOXES
from sim.show.pages.local.hours_of_track import told
from sim.show.pages.local.launching import BOXES, LAUNCHES
from sim.show.pages.local.more_load import loaded
from sim.show.pages.local.paper import (
    ChangedOutsideError,
    Paper,
    TakenError,
    new_text,
    saved_text,
    typed_edits,
    written_new,
)
from sim.show.pages.local.ranges import examples, usual_words
from sim.show.pages.local.scenarios import Opened, reopened, saved, written
from sim.show.pages.local.terminal import questions
from sim.show.pages.local.travel_kept import travel_goals, travel_limits
from sim.show.pages.local.trials import Trials
from sim.show.pages.local.tried_truck import driven_axle
from sim.show.pages.local.varied import goals, launch_goals, offered
from sim.show.pages.local.working import OF_A_LAUNCH, WORKS, Working
from sim.show.pages.local.written_over import ThereError
from sim.show.report.endured import BURNS

HERE = Path(__file__).parent
LOOK_EVERY_S = 1.0
"""How often it is looked whether somebody else has changed the file."""

STATES_KEPT = 12

BUG = "This is a bug of jounce, not of your truck: the terminal in which it runs has lines to send to the project's issue list."


def units(asked: Mapping[str, Any], data: Mapping[str, Any]) -> System:
    """Return the units that a tab wants to be shown: those that it chose, or else those in which its truck is typed."""
    return next((own for own in SYSTEMS if own == asked.get("units")), None) or typed_system(data)


class Bench:
    """What the server knows: the file, states of it that tabs were opened on, and what was computed.

    Parameters
    ----------
    opened : Opened
        What was opened.
    """

    def __init__(self, opened: Opened) -> None:
        self.opened, self.paper = opened, Paper(opened.vehicle, opened.folder)
        self.courses = Courses(opened.folder if opened.vehicle is None else opened.vehicle.parent)
        self.courses.open(opened.course, opened.folder)
        self.trials = Trials(self.courses)
        # One, so that what is kept between calls is never asked for twice at once.
        self.worker = ThreadPoolExecutor(1, thread_name_prefix="bench")
        self._states: OrderedDict[str, tuple[Document, str]] = OrderedDict()
        self.outputs = opened.folder / "outputs"
        self.scenarios = {opened.scenario.name: opened.scenario} if opened.scenario else {}
        """Scenarios that a command may be given beside the page: the one that was opened, and those that were saved here."""

    def state(self) -> tuple[str, Document]:
        """Return the file as it is now, with its mark."""
        mark = self.paper.mark()
        if mark not in self._states:
            self._states[mark] = self.paper.document(), self.paper.text()
            while len(self._states) > STATES_KEPT:
                self._states.popitem(last=False)
        return mark, self._states[mark][0]

    def document(self, asked: Mapping[str, Any]) -> Document:
        """Return the truck as a tab has it: the state it was opened on, with what was typed."""
        base = self._opened_on(asked)[0]
        return as_edited(base, typed_edits(dict(asked.get("edits") or {})))

    def _opened_on(self, asked: Mapping[str, Any]) -> tuple[Document, str]:
        """Return the state of the file that a tab was opened on, as it was read and as it was written."""
        known = self._states.get(str(asked.get("mark", "")))
        return self._states[self.state()[0]] if known is None else known

    def answered(self, asked: Mapping[str, Any]) -> str | bytes:
        """Return the answer to a message of the socket."""
        try:
            document = self.document(asked)
            with shown_in(units(asked, document.data)):
                if asked.get("kind") == "run":
                    key = json.dumps([asked.get("mark"), asked.get("edits")], sort_keys=True)
                    return self.trials.run(document, key, asked)
                if asked.get("kind") == "judge":
                    key = json.dumps([asked.get("mark"), asked.get("edits")], sort_keys=True)
                    return json.dumps(self.trials.judged(document, key, asked), allow_nan=False)
                if asked.get("kind") == "track":
                    key = json.dumps([asked.get("mark"), asked.get("edits")], sort_keys=True)
                    return json.dumps(self.hours_told(document, key, asked), allow_nan=False)
                if asked.get("kind") == "aboard":
                    said = {"kind": "aboard", "system": system(), **aboard(vehicle_of(document), asked)}
                    return json.dumps(said, allow_nan=False)
                said = {"kind": "stand", "seq": asked.get("seq"), "system": system(), **answer(document)}
                return json.dumps(said, allow_nan=False)
        except JounceError as error:
            return json.dumps(
                {"kind": "refused", "of": asked.get("kind"), "seq": asked.get("seq"), "why": in_form_words(str(error))}
            )
        except Exception:  # ours: the page goes on, and whoever sees the terminal can report it
            traceback.print_exc()
            return json.dumps({"kind": "refused", "of": asked.get("kind"), "seq": asked.get("seq"), "why": BUG})

    def hours_told(self, document: Document, key: str, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Return what the page says of hours of track before they are driven."""
        own, folder = self.opened, self.opened.folder
        said = told(asked, self.courses, own.track, folder, self.trials.readable(document, key, asked)[1])
        return {"kind": "track", "seq": asked.get("seq"), **said}

    def saved(self, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Write the truck's file; return what the page says of it."""
        edits = typed_edits(dict(asked.get("edits") or {}))
        name = str(asked.get("name") or "")
        if asked.get("as_new"):
            base, text = self._opened_on(asked)
            text = saved_text(text, base, edits) if text else new_text(base, edits)
            self.paper = Paper(written_new(self.opened.folder, name, text), self.opened.folder)
            mark, copy = self.paper.mark(), ""
        else:
            mark, copy = self.paper.saved(edits, str(asked.get("mark", "")), name)
        self.state()
        assert self.paper.path is not None
        commands = [own.command for own in questions(self.paper.path.name)]
        return {"mark": mark, "file": self.paper.path.name, "copy": copy, "terminal": commands}

    def kept(self, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Write what was tried as a scenario; return what the page says of it."""
        rows = [row for row in asked.get("setups") or [] if isinstance(row, dict)]
        load = loaded(vehicle_of(self.state()[1]), str(asked.get("load") or ""), rows)
        said = written(self.paper, self.courses, load, asked, self.opened)
        assert self.paper.path is not None
        self.scenarios[said["file"]] = self.paper.path.parent / said["file"]
        return said

    def reopen(self, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Open another scenario of the truck, or none: the page is loaded again after it."""
        self.opened = reopened(str(asked.get("file") or ""), self.paper.path, self.opened)
        if self.opened.scenario is not None:
            self.scenarios[self.opened.scenario.name] = self.opened.scenario
            self.courses.open(self.opened.course, self.opened.scenario.parent)
        else:
            self.courses.open(None, self.opened.folder)
        return {}

    def started(self, asked: Mapping[str, Any], document: Document) -> Working:
        """Start a command on a scenario.

        Raises
        ------
        JounceError
            If there is no such command, or no such scenario of this page.
        """
        path, command = self.scenarios.get(str(asked.get("file"))), str(asked.get("command"))
        if path is None or command not in WORKS:
            raise JounceError("Save the set-ups as a scenario first.")
        more = {"axle": driven_axle(vehicle_of(document))} if command in OF_A_LAUNCH else {}
        return Working(command, path, self.outputs, units(asked, document.data), str(asked.get("setup") or ""), **more)

    def course_kept(self, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Write a course through points that were typed or drawn; return what the page says of it."""
        stem = kept_course(self.courses.folder, asked)
        self.courses.look()
        return {"course": named(stem), "file": f"courses/{stem}.yaml"}


Beside = Estimating | Working
"""What is slow and runs beside the page."""

COMMANDS = ("work", "hours")
"""Messages that start a command, each beside the other."""


def application(opened: Opened, token: str, port: int) -> Guarded:
    """Return the page's application, whose every path begins with the token."""
    bench = Bench(opened)
    env = Environment(
        loader=PackageLoader("sim.show.pages.local"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip

    async def worked(function: Any, *given: Any) -> Any:
        return await asyncio.get_running_loop().run_in_executor(bench.worker, partial(function, *given))

    async def page(request: Request) -> Response:
        try:
            html = await worked(_page, env, bench)
        except JounceError as error:
            return HTMLResponse(env.get_template("refused.html").render(why=str(error)), 422)
        return HTMLResponse(html)

    async def save(request: Request) -> Response:
        return await _posted(request, lambda asked: worked(bench.saved, asked))

    async def keep_scenario(request: Request) -> Response:
        return await _posted(request, lambda asked: worked(bench.kept, asked))

    async def open_scenario(request: Request) -> Response:
        return await _posted(request, lambda asked: worked(bench.reopen, asked))

    async def keep_course(request: Request) -> Response:
        return await _posted(request, lambda asked: worked(bench.course_kept, asked))

    async def socket(connection: WebSocket) -> None:
        await _served(connection, bench, worked)

    static = [
        Mount("/page", StaticFiles(directory=HERE / "static"), name="page"),
        Mount("/truck", StaticFiles(directory=HERE.parent / "static"), name="truck"),
        Mount(f"/{RESULTS}", StaticFiles(directory=bench.outputs, check_dir=False), name="results"),
    ]
    routes = [
        Route("/", page), Route("/save", save, methods=["POST"]), Route("/scenario", keep_scenario, methods=["POST"]),
        Route("/open", open_scenario, methods=["POST"]), Route("/course", keep_course, methods=["POST"]), WebSocketRoute("/live", socket), *static,
    ]  # fmt: skip
    return Guarded(Starlette(routes=[Mount(f"/{token}", routes=routes)]), token, port)


async def _posted(request: Request, work: Any) -> Response:
    try:
        asked = await request.json()
        if not isinstance(asked, dict):
            raise ValueError
    except ValueError:
        return JSONResponse({"why": "This is not what the page sends."}, 400)
    try:
        return JSONResponse(await work(asked))
    except (ChangedOutsideError, TakenError, ThereError) as error:
        return JSONResponse({"why": str(error), "conflict": type(error).__name__, **getattr(error, "more", {})}, 409)
    except JounceError as error:
        return JSONResponse({"why": str(error)}, 422)
    except Exception:
        traceback.print_exc()
        return JSONResponse({"why": BUG}, 500)


async def _served(connection: WebSocket, bench: Bench, worked: Any) -> None:
    """Answer a tab: of each kind of message the latest alone; and say when its file is changed by somebody else."""
    await connection.accept()
    waiting: dict[str, dict[str, Any]] = {}
    came = asyncio.Event()
    sending = asyncio.Lock()
    beside: dict[str, Beside] = {}
    mark = {"own": ""}

    async def send(said: str | bytes) -> None:
        # A tab that is gone meanwhile misses nothing.
        with suppress(WebSocketDisconnect, RuntimeError):
            async with sending:
                await (connection.send_bytes(said) if isinstance(said, bytes) else connection.send_text(said))

    async def work() -> None:
        while True:
            await came.wait()
            came.clear()
            while waiting:
                await send(await worked(bench.answered, waiting.pop(next(iter(waiting)))))

    async def look() -> None:
        last = None
        while True:
            await asyncio.sleep(LOOK_EVERY_S)
            now = await asyncio.to_thread(bench.paper.mark)
            if mark["own"] and (now, mark["own"]) != last:
                last = now, mark["own"]
                await send(json.dumps({"kind": "file", "changed": now != mark["own"], "gone": not now}))

    def stopped(kind: str) -> None:
        own = beside.pop(kind, None)
        if own is not None:
            own.stop()

    async def run_beside(kind: str, asked: dict[str, Any]) -> None:
        """Start what is slow, and say how far it is until it has ended or another one takes its place."""
        try:
            document = await worked(bench.document, asked)
            own: Beside = await asyncio.to_thread(
                (lambda: bench.started(asked, document))
                if kind in COMMANDS
                else (lambda: Estimating(document, asked, units(asked, document.data), bench.courses.opened))
            )
        except JounceError as error:
            await send(json.dumps({"kind": kind, "why": in_form_words(str(error))}))
            return
        stopped(kind)
        beside[kind] = own
        while beside.get(kind) is own:
            said = await asyncio.to_thread(own.next)
            if said is not None and beside.get(kind) is own:
                await send(json.dumps({"kind": kind, **said}))
                if "of" not in said:
                    stopped(kind)

    async with anyio.create_task_group() as tasks:
        tasks.start_soon(work)
        tasks.start_soon(look)
        with suppress(WebSocketDisconnect):
            while True:
                text = await connection.receive_text()
                with suppress(ValueError):
                    asked = json.loads(text)
                    if isinstance(asked, dict) and asked.get("kind") in ("sure", *COMMANDS):
                        stopped(asked["kind"])
                        if asked.get("start"):
                            tasks.start_soon(run_beside, asked["kind"], asked)
                    elif isinstance(asked, dict):
                        # A message that was not looked at yet is replaced by the one that follows it.
                        waiting[str(asked.get("kind"))] = asked
                        mark["own"] = str(asked.get("mark", ""))
                        came.set()
        tasks.cancel_scope.cancel()
    for kind in list(beside):
        stopped(kind)


def _page(env: Environment, bench: Bench) -> str:
    mark, document = bench.state()
    given = {
        "mark": mark, "file": bench.paper.path.name if bench.paper.path else "", "folder": bench.paper.folder_mark(), "courses": bench.courses.names,
        "speed": SPEED, "speeds": SPEEDS, "launches": LAUNCHES, "trial": bench.opened.trial, "name": str(document.data.get("name", "")),
        "units": bench.opened.units, "scenario": bench.opened.scenario.name if bench.opened.scenario else "", "works": bench.opened.works,
        "known": bench.opened.known(),
    }  # fmt: skip
    steps = form(document.data)
    try:
        vehicle = vehicle_of(document)
        given["varied"], better, better_launch = offered(vehicle), goals(vehicle), launch_goals(vehicle)
        travel, left = travel_goals(vehicle), travel_limits(vehicle)
    except JounceError:  # it is said in the form; until it is mended nothing varies
        given["varied"], better, better_launch, travel, left = [], [], [], [], []
    return env.get_template("page.html").render(
        steps=steps,
        groups=changeable(document, steps),
        usual=usual_words,
        examples=examples,
        goals=better,
        launch_goals=better_launch,
        travel_goals=travel,
        travel_limits=left,
        launch_boxes=BOXES,
        hours_boxes=HOURS_BOXES,
        hours_caution=BURNS,
        launch_caution=Launch.caution,
        scenarios=saved(bench.paper.path),
        terminal=questions(bench.paper.path.name if bench.paper.path else ""),
        given=given,
        title=str(document.data.get("name") or "A truck"),
    )
