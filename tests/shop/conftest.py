"""A shop in a new folder, on SQLite and on a real PostgreSQL: both pass the same tests."""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bench_day import BenchClock
from sqlalchemy import NullPool, create_engine, text

from spindlewright.shop.database import Database
from spindlewright.shop.store import RECORDS, Shop
from system_packages import BENCH


@pytest.fixture
def clock() -> BenchClock:
    return BenchClock()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """The address of a server of its own, started for these tests; skipped where PostgreSQL is not installed."""
    binaries = sorted(Path("/usr/lib/postgresql").glob("*/bin")) if os.name == "posix" else []
    found = [binaries[-1] / "pg_ctl"] if binaries else [Path(p) for p in [shutil.which("pg_ctl")] if p]
    if not found:
        pytest.skip(f"Type: {BENCH.line_to_type(['postgresql'])}")
    pytest.importorskip("psycopg", reason="the extra postgres is not installed")
    folder = Path(tempfile.mkdtemp(prefix="spindlewright-postgresql-"))
    as_user: list[str] = []
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
        as_user = ["runuser", "-u", "postgres", "--"]
    port = 54_400 + os.getpid() % 5_000

    def run(*command: str) -> None:
        done = subprocess.run([*as_user, *command], cwd="/", capture_output=True, text=True, timeout=60)
        assert done.returncode == 0, done.stdout + done.stderr

    run(
        *(str(found[0].with_name("initdb")), "-D", f"{folder}/data", "-U", "bench", "--auth=trust"),
        *("--encoding=UTF8", "--locale=C", "--no-sync"),
    )
    settings = f"-p {port} -c listen_addresses=127.0.0.1 -c unix_socket_directories={folder} -c fsync=off"
    run(str(found[0]), "-D", f"{folder}/data", "-w", "-t", "30", "-l", f"{folder}/log", "start", "-o", settings)
    try:
        yield f"postgresql+psycopg://bench@127.0.0.1:{port}"
    finally:
        run(str(found[0]), "-D", f"{folder}/data", "-m", "immediate", "stop")
        shutil.rmtree(folder, ignore_errors=True)


def fresh_database(server: str, name: str, template: str = "template0") -> str:
    """A new database on the server, empty or like ``template``; gives its address."""
    engine = create_engine(f"{server}/postgres", isolation_level="AUTOCOMMIT", poolclass=NullPool)
    with engine.connect() as connection:
        connection.execute(text(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)"))
        connection.execute(text(f"CREATE DATABASE {name} TEMPLATE {template}"))
    return f"{server}/{name}"


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A SQLite file with the newest tables, to be copied."""
    folder = tmp_path_factory.mktemp("migrated")
    Shop.open(folder).close()
    return folder / RECORDS


@pytest.fixture(scope="session")
def migrated_template(postgresql_server: str) -> str:
    """The name of a PostgreSQL database with the newest tables, to be copied."""
    Database(fresh_database(postgresql_server, "migrated")).close()
    return "migrated"


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a new empty database of each kind."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'records.sqlite3'}"
    return fresh_database(request.getfixturevalue("postgresql_server"), "bench_of_test")


@pytest.fixture(params=["sqlite", "postgresql"])
def records_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """The address of a database of each kind with the newest tables and nothing in them."""
    if request.param == "sqlite":
        shutil.copy(request.getfixturevalue("migrated_file"), tmp_path / "records.sqlite3")
        return f"sqlite:///{tmp_path / 'records.sqlite3'}"
    template = request.getfixturevalue("migrated_template")
    return fresh_database(request.getfixturevalue("postgresql_server"), "bench_of_test", template)


OpenShop = Callable[[], Shop]


@pytest.fixture
def open_shop(records_url: str, tmp_path: Path, clock: BenchClock) -> Iterator[OpenShop]:
    """Opens the shop of this test, as often as wanted (a restart); all are closed at the end."""
    opened: list[Shop] = []

    def opens() -> Shop:
        opened.append(Shop.open(tmp_path / "data", records_url, clock=clock))
        return opened[-1]

    yield opens
    for shop in opened:
        shop.close()


@pytest.fixture
def shop(open_shop: OpenShop) -> Shop:
    return open_shop()


@pytest.fixture
def sqlite_shop(migrated_file: Path, tmp_path: Path, clock: BenchClock) -> Iterator[Shop]:
    """A shop on SQLite alone, for what no database changes."""
    (tmp_path / "data").mkdir()
    shutil.copy(migrated_file, tmp_path / "data" / RECORDS)
    with Shop.open(tmp_path / "data", clock=clock) as opened:
        yield opened
