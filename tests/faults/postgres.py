"""A Postgres of this script's own, which it may stop, freeze, fill and set the clock of."""

import glob
import os
import pwd
import shutil
import signal
import subprocess
import time
from urllib.parse import quote


def programs():
    """The folder of the newest server's programs."""
    found = [os.path.dirname(path) for path in glob.glob("/usr/lib/postgresql/*/bin/initdb")]
    if os.environ.get("PG_BINDIR"):
        return os.environ["PG_BINDIR"]
    if found:
        return max(found, key=lambda path: int(path.split("/")[4]))
    return os.path.dirname(shutil.which("initdb") or "/usr/bin/initdb")


def account():
    """Whom the server runs as: never root."""
    if os.geteuid() != 0:
        return {}
    entry = pwd.getpwnam("postgres")
    return {"user": entry.pw_uid, "group": entry.pw_gid, "extra_groups": []}


class Postgres:
    """A server on a socket in its own folder, with the role and database of the service."""

    def __init__(self, folder, settings=(), environment=None):
        self.data, self.socket = os.path.join(folder, "pgdata"), folder
        self.settings_of_its_own = list(settings)
        self.environment = {"PATH": os.environ.get("PATH", ""), "LC_ALL": "C", **(environment or {})}
        self.settings = [f"unix_socket_directories={folder}", "listen_addresses=", "timezone=UTC", *settings]
        self.process = None
        if os.geteuid() == 0:
            os.chown(folder, account()["user"], account()["group"])

    def run(self, program, *arguments, check=True, **more):
        done = subprocess.run(
            [os.path.join(programs(), program), *arguments],
            cwd="/", env={"LC_ALL": "C"}, capture_output=True, text=True, **account(), **more,
        )
        if check and done.returncode:
            raise RuntimeError(f"{program}: {done.stderr}")
        return done

    def make(self):
        self.run("initdb", "-D", self.data, "-U", "postgres", "--auth=trust", "--encoding=UTF8", "--locale=C", "--no-sync")
        self.start()
        self.sql("CREATE ROLE denwright LOGIN CREATEDB CREATEROLE", database="postgres")
        self.new_database("denwright")
        return self

    def standby(self, folder):
        """A server in another folder that is copied from this one, and follows it from now on."""
        copy = Postgres(folder, self.settings_of_its_own, self.environment)
        self.run(
            "pg_basebackup", "-D", copy.data, "-h", self.socket, "-U", "postgres", "--write-recovery-conf",
            "--wal-method=stream", "--checkpoint=fast", "--no-sync",
        )
        return copy.start()

    def promote(self):
        """Makes a standby a server that takes writes; returns once it does."""
        self.run("pg_ctl", "promote", "-D", self.data, "--wait")

    def wait_for_standby(self, state="sync", patience=60):
        """Waits until a standby follows in this state."""
        began = time.monotonic()
        while self.sql("SELECT sync_state FROM pg_stat_replication WHERE state = 'streaming'", "postgres") != state:
            if time.monotonic() - began > patience:
                raise RuntimeError(f"no standby that is {state}")
            time.sleep(0.05)

    def set(self, name, value):
        """Sets a setting while it runs."""
        self.sql(f"ALTER SYSTEM SET {name} = '{value}'", "postgres")
        self.sql("SELECT pg_reload_conf()", "postgres")

    def new_database(self, name, more=""):
        self.sql(f"CREATE DATABASE {name} OWNER denwright {more}", database="postgres")
        return self.url(name)

    def url(self, database="denwright", role="denwright"):
        return f"postgres://{role}@{quote(self.socket, safe='')}/{database}"

    def start(self, patience=60):
        command = [os.path.join(programs(), "postgres"), "-D", self.data]
        for setting in self.settings:
            command += ["-c", setting]
        with open(os.path.join(self.socket, "postgres.log"), "ab") as log:
            self.process = subprocess.Popen(
                command, cwd="/", env=self.environment, stdout=log, stderr=log, **account()
            )
        began = time.monotonic()
        while not self.answers():
            if self.process.poll() is not None or time.monotonic() - began > patience:
                raise RuntimeError(f"Postgres does not start; see {self.socket}/postgres.log")
            time.sleep(0.05)
        return self

    def answers(self):
        return self.run("pg_isready", "-q", "-h", self.socket, check=False).returncode == 0

    def sql(self, statement, database="denwright", role="postgres"):
        """The rows of one statement, unaligned."""
        done = self.run("psql", "-X", "-A", "-t", "-q", "-v", "ON_ERROR_STOP=1", "-c", statement, self.url(database, role))
        return done.stdout.strip()

    def session(self, statement, database="denwright"):
        """A connection that has run `statement` in a transaction and holds on until it is closed."""
        session = subprocess.Popen(
            [os.path.join(programs(), "psql"), "-X", "-q", "-A", "-t", self.url(database, "postgres")],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd="/", env={"LC_ALL": "C"}, **account(),
        )
        session.stdin.write(f"BEGIN; {statement}; SELECT 'held';\n")
        session.stdin.flush()
        session.stdout.readline()
        return session

    def members(self):
        """The process ids of the server and its children."""
        parent = self.process.pid
        found = [parent]
        for path in glob.glob("/proc/[0-9]*/stat"):
            try:
                with open(path) as file:
                    pid, rest = file.read().split(" (", 1)
            except OSError:
                continue
            if int(rest.rsplit(") ", 1)[1].split()[1]) == parent:
                found.append(int(pid))
        return found

    def freeze(self):
        for pid in self.members():
            os.kill(pid, signal.SIGSTOP)

    def thaw(self):
        for pid in self.members():
            os.kill(pid, signal.SIGCONT)

    def kill(self):
        """Ends it and all its children as a power switch would: nothing is told to anybody, nothing is written."""
        self.freeze()
        for pid in self.members():
            os.kill(pid, signal.SIGKILL)
        self.process.wait(60)

    def stop(self, how=signal.SIGQUIT):
        """Ends it: at once with SIGQUIT, in order with SIGINT."""
        if self.process is not None and self.process.poll() is None:
            self.process.send_signal(how)
            self.process.wait(60)

    def __enter__(self):
        return self.make()

    def __exit__(self, *_):
        self.stop()
