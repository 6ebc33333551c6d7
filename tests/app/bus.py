"""The app on a display and a bus of its own, seen as a screen reader sees it."""

import os
import pathlib
import shutil
import sqlite3
import subprocess
import sys
import time
import warnings

NEEDED = ("Xvfb", "dbus-run-session", "xdotool", "xprop", "openbox")
PATIENCE_S = float(os.environ.get("TB_PATIENCE", 120))  # a sanitized build on a busy machine takes its time


def serve(screen):
    """A display of our own and its name. The server tells the name when it takes callers; without
    -noreset it starts anew whenever its last caller leaves, and turns away whoever calls then."""
    ready, tell = os.pipe()
    server = subprocess.Popen(["Xvfb", "-displayfd", str(tell), "-noreset", "-nolisten", "tcp",
                               "-screen", "0", f"{screen}x24"], pass_fds=(tell,), stderr=subprocess.DEVNULL)
    os.close(tell)
    with os.fdopen(ready) as line:
        display = line.readline().strip()
    if not display:
        sys.exit("Xvfb gave no display")
    return server, f":{display}"


def enter(screen, *needed):
    """Run the test again with a display and a bus of its own; say 77 where that can't be."""
    if "TB_INSIDE" in os.environ:
        sys.stdout = os.fdopen(int(os.environ["TB_INSIDE"]), "w")
        return
    missing = [name for name in NEEDED + needed if not shutil.which(name)]
    try:
        import gi
        gi.require_version("Atspi", "2.0")
    except (ImportError, ValueError):
        missing.append("Atspi")
    if missing:
        print("1..0 # SKIP missing:", *missing)
        sys.exit(77)
    server, display = serve(screen)
    env = {k: v for k, v in os.environ.items()
           if k not in ("DBUS_SESSION_BUS_ADDRESS", "AT_SPI_BUS_ADDRESS", "GTK_A11Y", "XAUTHORITY",
                        "WAYLAND_DISPLAY")}
    told = os.dup(1)  # the test's own lines alone; the bus and what it starts talk too
    env.update(TB_INSIDE=str(told), LC_ALL="C.UTF-8", GSK_RENDERER="cairo", GSETTINGS_BACKEND="memory",
               G_DEBUG="fatal-criticals", NO_AT_BRIDGE="0", DISPLAY=display, GDK_BACKEND="x11")
    try:
        sys.exit(subprocess.run(["dbus-run-session", "--", sys.executable, *sys.argv], env=env,
                                stdout=subprocess.DEVNULL, pass_fds=(told,)).returncode)
    finally:
        server.terminate()
        server.wait()


def atspi():
    import gi
    warnings.filterwarnings("ignore", category=DeprecationWarning)  # Debian 12 has the old names
    gi.require_version("Atspi", "2.0")
    from gi.repository import Atspi
    return Atspi


def wait(what, ask, patience_s=PATIENCE_S):
    end = time.monotonic() + patience_s
    while time.monotonic() < end:
        try:
            answer = ask()
        except Exception as gone:  # a widget went while we read it: D-Bus tells so by GError
            if "Error" not in type(gone).__name__ or isinstance(gone, AssertionError):
                raise
            answer = None
        if answer:
            return answer
        time.sleep(0.05)
    raise AssertionError(f"waited in vain for {what}")


class Manager:
    """The window manager: nothing is given the focus without one."""

    def __init__(self):
        self.process = None
        wait("the window manager", self.reigns)

    def reigns(self):
        if not self.process or self.process.poll() is not None:
            self.process = subprocess.Popen(["openbox"], stderr=subprocess.DEVNULL)
        told = subprocess.run(["xprop", "-root", "_NET_SUPPORTING_WM_CHECK"], capture_output=True, text=True)
        return "window id" in told.stdout

    def end(self):
        self.process.terminate()
        self.process.wait()


def below(node):
    yield node
    for i in range(node.get_child_count()):
        child = node.get_child_at_index(i)
        if child:
            yield from below(child)


def done(folder):
    """Where the project's log stands: (last action, the action that holds)."""
    path = next(pathlib.Path(folder, "data/tombolo/projects").glob("*.tombolo"))
    with sqlite3.connect(f"file:{path}?mode=ro", uri=True, timeout=5) as project:
        return (project.execute("SELECT max(id) FROM action").fetchone()[0],
                project.execute("SELECT head FROM state").fetchone()[0])


def keys(*words):
    subprocess.run(["xdotool", "key", "--clearmodifiers", *words], check=True)


class App:
    """One run of the app; files of its own lie in `folder`."""

    def __init__(self, program, folder, *files, **env):
        self.folder, self.atspi = folder, atspi()
        home = {f"XDG_{kind}_HOME": f"{folder}/{kind.lower()}" for kind in ("DATA", "CACHE", "CONFIG")}
        for path in home.values():
            pathlib.Path(path).mkdir(exist_ok=True)
        self.manager = Manager()
        self.process = subprocess.Popen([program, *files], env={**os.environ, **home, **env})
        self.top = wait("the app on the bus", self.on_bus)
        wait("its window", self.activate)

    def on_bus(self):
        assert self.process.poll() is None, f"the app ended with {self.process.poll()}"
        desktop = self.atspi.get_desktop(0)
        for i in range(desktop.get_child_count()):
            app = desktop.get_child_at_index(i)
            if app and app.get_process_id() == self.process.pid and app.get_child_count():
                return app
        return None

    def activate(self):
        found = subprocess.run(["xdotool", "search", "--onlyvisible", "--pid", str(self.process.pid)],
                               capture_output=True, text=True).stdout.split()
        return found and not subprocess.run(
            ["xdotool", "windowactivate", "--sync", found[-1]], stderr=subprocess.DEVNULL).returncode

    def end(self):
        if self.process.poll() is None:
            self.process.terminate()
            self.process.wait()
        self.manager.end()

    def all(self):
        """Every accessible object, anew."""
        self.top.clear_cache()
        return list(below(self.top))

    def windows(self):
        return [self.top.get_child_at_index(i) for i in range(self.top.get_child_count())]

    def find(self, name, role=None):
        return next((n for n in self.all() if name == (n.get_name() or "") and
                     role in (None, n.get_role_name())), None)

    def act(self, node, action):
        names = [node.get_action_name(i) for i in range(node.get_n_actions())]
        assert action in names, f"{action} is not among {names}"
        node.do_action(names.index(action))
