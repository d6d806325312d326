"""Starts the desk: its routes, its guard and its files, on this machine alone unless told otherwise."""

from __future__ import annotations

import getpass
import os
import secrets
import socket
from collections.abc import Callable
from importlib import resources
from pathlib import Path

from nicegui import app, ui
from starlette.responses import FileResponse, Response

from stockproof.desk import api, customer
from stockproof.desk.bench import Office
from stockproof.desk.gate import LEAST_PASSWORD, Gate
from stockproof.desk.guard import Guard
from stockproof.desk.pages import brief, build, documents, jobs, past, rehearsal, room, yard
from stockproof.desk.store import CATALOGUE, Papers, Store
from stockproof.dossier.style import PALETTE
from stockproof.errors import Fault, InputError, Place
from stockproof.proof.day import Effort
from stockproof.proof.prove import FULL, QUICK
from stockproof.scene.lettering import font_files
from stockproof.tomlfile import read_toml

__all__ = ["data_folder", "open_brief", "register", "serve"]

LOOPBACK = "127.0.0.1"
LOOPBACKS = {LOOPBACK, "localhost", "::1"}


def serve(
    brief_path: Path | None,
    catalogue: Path | None,
    host: str,
    port: int,
    show: bool,
    folder: Path,
    password: str = "",
    quick: Effort = QUICK,
    full: Effort | None = FULL,
) -> None:
    """Run the desk until it is stopped.

    Parameters
    ----------
    brief_path, catalogue : Path or None
        A brief to open as a job, and the catalogue to read with it instead of the one it names.
    host, port
        Where to listen; 0 takes a free port.
    show : bool
        Open the browser.
    folder : Path
        Where the jobs are kept.
    password : str
        What others give to come in; needed where the desk listens beyond this machine.
    quick, full : Effort
        What is run for fresh verdicts, and in the background after it (nothing if None).

    Raises
    ------
    InputError
        The brief or catalogue cannot be read, the port is taken, or the desk would be open to others unguarded.
    """
    _refuse_unguarded(host, password)
    office = Office(Store(folder / "jobs.sqlite"), quick_effort=quick, full_effort=full)
    try:
        job = open_brief(office, brief_path, catalogue) if brief_path is not None else None
        port = port or _free_port(host)
        _refuse_taken(host, port)
        register(office, locked=bool(password))
        app.on_startup(office.warm)
        secret = _secret(folder)
        if password:
            app.add_middleware(Gate, password=password, secret=secret)
        app.add_middleware(Guard, hosts=_names(host, port))
        first = f"/job/{job}/brief" if job is not None else "/"
        print(f"the desk is open at http://{LOOPBACK}:{port}{first} (stop it with Ctrl-C)", flush=True)
        ui.run(
            host=host,
            port=port,
            title="Stockproof",
            favicon=_favicon(),
            show=first if show else False,
            reload=False,
            tailwind=False,
            language="en-GB",
            show_welcome_message=False,
            storage_secret=secret,
            session_middleware_kwargs={"same_site": "strict", "https_only": False},
            reconnect_timeout=20,
        )
    finally:
        office.close()


def register(office: Office, locked: bool = False) -> None:
    """Make every route; called by `serve` and by the tests."""
    _files()
    for page in (jobs, brief, build, yard, room, rehearsal, documents, past):
        page.register(office)
    customer.register(office)
    app.mount("/api", api.make(office.slow, locked))


def open_brief(office: Office, path: Path, catalogue: Path | None) -> int:
    """Open a brief's file as a job: a new one, or the job brought in from this file before, with the file's text.

    Raises
    ------
    InputError
        The file or its catalogue cannot be read.
    """
    origin = str(path.resolve())
    papers = _papers(path, catalogue)
    known = office.store.from_origin(origin)
    who = getpass.getuser()
    if known is None:
        return office.begin(papers, who, origin, f"brought in from {path.name}")
    head = office.store.head(known.id)
    if head.papers != papers and office.store.draft(known.id, who) is None:
        office.store.keep(known.id, known.head, papers, known.title, who, f"read again from {path.name}")
    return known.id


def data_folder() -> Path:
    """Give the folder where this user's jobs are kept."""
    base = os.environ.get("XDG_DATA_HOME") or str(Path.home() / ".local" / "share")
    return Path(base) / "stockproof"


def _papers(path: Path, catalogue: Path | None) -> Papers:
    toml = read_toml(path, str(path))
    files = {CATALOGUE: _read(catalogue or path.parent / str(toml.values.get("catalogue", CATALOGUE)), "catalogue")}
    for mob in toml.values.get("mob", []):
        name = str(mob.get("weights_csv", "")) if isinstance(mob, dict) else ""
        if name and Path(name).name == name and (path.parent / name).is_file():
            files[name] = _read(path.parent / name, "weights_csv")
    return Papers(path.read_bytes().decode("utf-8-sig"), files)


def _read(path: Path, key: str) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        place = Place(str(path), None, key)
        raise InputError(Fault(f"cannot be read ({error.strerror})", place, mend="correct the path")) from error


def _files() -> None:
    """The desk's own style and the house fonts, from the packages, under one address."""
    style, keep = _style(), _file("keep.js")
    fonts = {path.name: path for path in font_files()}
    version = f"{abs(hash(style)):x}"[:8]
    ui.add_head_html(f'<link rel="stylesheet" href="/desk-files/desk.css?{version}">', shared=True)
    ui.add_head_html(f'<script type="module" src="/desk-files/keep.js?{version}"></script>', shared=True)

    @app.get("/desk-files/desk.css", include_in_schema=False)
    def css() -> Response:
        return Response(style, media_type="text/css")

    @app.get("/desk-files/keep.js", include_in_schema=False)
    def script() -> Response:
        return Response(keep, media_type="text/javascript")

    @app.get("/desk-files/fonts/{name}", include_in_schema=False)
    def font(name: str) -> Response:
        if name not in fonts:
            return Response(status_code=404)
        return FileResponse(fonts[name], media_type="font/ttf", headers={"cache-control": "public, max-age=604800"})


def _style() -> str:
    variables = "".join(f"--{name}: {colour}; " for name, colour in PALETTE.items())
    return f":root {{ {variables}}}\n{_file('desk.css')}"


def _file(name: str) -> str:
    return resources.files("stockproof.desk").joinpath("files", name).read_text(encoding="utf-8")


def _favicon() -> str:
    square = f'<rect x="4" y="4" width="24" height="24" fill="{PALETTE["ink"]}"/>'
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32">{square}</svg>'


def _names(host: str, port: int) -> tuple[str, ...]:
    """What a Host header may say: the loopback names, and the address the desk was given."""
    named = {LOOPBACK, "localhost", "[::1]", host}
    if host not in LOOPBACKS:
        named |= {socket.gethostname(), *socket.gethostbyname_ex(socket.gethostname())[2]}
    return tuple(f"{name}:{port}" for name in sorted(named))


def _secret(folder: Path) -> str:
    """The secret that signs sessions, made once and kept, so that a restart ends nobody's session."""
    path = folder / "secret"
    make: Callable[[], int] = lambda: os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)  # noqa: E731
    try:
        with os.fdopen(make(), "w") as file:
            file.write(secrets.token_urlsafe(48))
    except FileExistsError:
        pass
    return path.read_text(encoding="utf-8")


def _refuse_unguarded(host: str, password: str) -> None:
    """Beyond this machine a password is a must; a short one is none."""
    mend = f"set STOCKPROOF_PASSWORD to at least {LEAST_PASSWORD} characters before opening the desk to others"
    if host not in LOOPBACKS and not password:
        raise InputError(Fault(f"the desk would be open to everybody who reaches {host}", mend=mend))
    if password and len(password) < LEAST_PASSWORD:
        raise InputError(Fault("the password is too short", mend=mend))


def _free_port(host: str) -> int:
    with socket.socket() as probe:
        probe.bind((host, 0))
        return int(probe.getsockname()[1])


def _refuse_taken(host: str, port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            mend = "give another --port, or 0 for a free one; or use the desk that is open already"
            raise InputError(Fault(f"port {port} is not free ({error.strerror})", mend=mend)) from error
