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
    Atspi.set_timeout(int(PATIENCE_S * 1e3), int(PATIENCE_S * 1e3))
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


def asked(folder, *questions):
    """Of the project that was written last."""
    path = max(pathlib.Path(folder, "data/tombolo/projects").glob("*.tombolo"), key=lambda one: one.stat().st_mtime_ns)
    with sqlite3.connect(f"file:{path}?mode=ro", uri=True, timeout=5) as project:
        return tuple(project.execute(question).fetchone()[0] for question in questions)


def done(folder):
    """Where the log stands: (last action, the action that holds)."""
    return asked(folder, "SELECT max(id) FROM action", "SELECT head FROM state")


def last_action(folder):
    return asked(folder, "SELECT body FROM action ORDER BY id DESC LIMIT 1")


def keys(*words):
    subprocess.run(["xdotool", "key", "--clearmodifiers", *words], check=True)


def pointed(*words):
    """Moves and presses of the pointer, each seen by itself."""
    for word in words:
        subprocess.run(["xdotool", *word.split()], check=True)
        time.sleep(0.1)


def state(node, name):
    node.clear_cache()
    return node.get_state_set().contains(getattr(atspi().StateType, name))


def extents(node):
    return node.get_extents(atspi().CoordType.WINDOW)


def in_view(node):
    """The toolkit calls all of its widgets visible, but gives room only to those it shows."""
    return extents(node).width > 0


# Under a sanitizer. What libraries leak is known by the stacks of who does it, and those take their time: one
# walk looks for leaks, the others for all else.
LEAKS = {False: "detect_leaks=0", True: "fast_unwind_on_malloc=0:malloc_context_size=7"}


class App:
    """The app, and what somebody does with it; files of its own lie in `folder`.

    It can be started again and again over the same files. With `pictures`, a folder, its window fills the
    screen, and what it looks like can be kept there.
    """

    def __init__(self, program, folder, pictures=None, screen=None, leaks=False):
        self.program, self.folder, self.pictures, self.screen = program, folder, pictures, screen
        self.leaks = leaks
        self.home = {f"XDG_{kind}_HOME": f"{folder}/{kind.lower()}" for kind in ("DATA", "CACHE", "CONFIG")}
        for path in self.home.values():
            pathlib.Path(path).mkdir(exist_ok=True)
        self.manager, self.process, self.top = Manager(), None, None

    def start(self, *files, **env):
        told = {"ASAN_OPTIONS": f"{os.environ.get('ASAN_OPTIONS', '')}:{LEAKS[self.leaks]}"}
        self.process = subprocess.Popen([self.program, *files], env={**os.environ, **self.home, **told, **env})
        self.top = wait("the app on the bus", self.on_bus)
        wait("its window on the screen", self.activate)
        return self

    def on_bus(self):
        assert self.process.poll() is None, f"the app ended with {self.process.poll()}"
        desktop = atspi().get_desktop(0)
        for i in range(desktop.get_child_count()):
            app = desktop.get_child_at_index(i)
            if app and app.get_process_id() == self.process.pid and app.get_child_count():
                return app
        return None

    def activate(self):
        """The window manager gives a new window the focus when it likes: the pointer needs it."""
        found = subprocess.run(["xdotool", "search", "--onlyvisible", "--pid", str(self.process.pid)],
                               capture_output=True, text=True).stdout.split()
        if not found:
            return False
        if self.pictures:
            subprocess.run(["xdotool", "windowmove", found[-1], "0", "0", "windowsize", found[-1],
                            *self.screen.split("x")], check=True)
        return not subprocess.run(
            ["xdotool", "windowactivate", "--sync", found[-1]], stderr=subprocess.DEVNULL).returncode

    def kill(self):
        self.process.kill()
        self.process.wait()

    def close(self):
        """As the user does; what a sanitizer has to say comes then. The exit status."""
        if self.process.poll() is None:
            try:
                self.window_action("window.close")
            except Exception as gone:  # it may go before it answers, and take its time to go
                if "atspi_error" not in str(gone):
                    raise
            try:
                self.process.wait(PATIENCE_S)
            except subprocess.TimeoutExpired:
                self.kill()
        return self.process.returncode

    def end(self):
        if self.process and self.process.poll() is None:
            self.process.terminate()
            self.process.wait()
        self.manager.end()

    def all(self):
        """Every accessible object, anew."""
        self.top.clear_cache()
        return below(self.top)

    def windows(self):
        return [self.top.get_child_at_index(i) for i in range(self.top.get_child_count())]

    def first(self, judge):
        return next((node for node in self.all() if judge(node)), None)

    def find(self, name, role=None):
        """By its name; where a key stands before that, by the name alone."""
        return self.first(lambda node: (node.get_name() or "").split("  ")[-1] == name and
                          role in (None, node.get_role_name()))

    def control(self, begins):
        """What can be pressed and is called so."""
        return self.first(lambda node: (node.get_name() or "").startswith(begins) and node.get_n_actions() and
                          node.get_role_name() != "label" and state(node, "SENSITIVE"))

    def text(self, part):
        """The first text on the screen that holds `part`."""
        node = self.first(lambda node: part in (node.get_name() or ""))
        return node.get_name() if node else None

    def act(self, node, action):
        names = [node.get_action_name(i) for i in range(node.get_n_actions())]
        assert action in names, f"{action} is not among {names}"
        node.do_action(names.index(action))

    def press(self, name):
        """What is pressed has to be in view: a step comes into view a moment after it is called."""
        def button():
            node = self.find(name)
            return node if node and node.get_n_actions() and in_view(node) else None
        node = wait(f"'{name}' in view", button)
        self.act(node, "click")
        return node

    def window_action(self, action):
        self.act(self.windows()[0], action)

    def rest(self):
        """Rows and marks are made anew after each change: nothing is taken by the hand before."""
        wait("the work to end", lambda: self.text("Everything is saved"))

    def verdict(self):
        self.rest()
        return wait("a verdict", lambda: self.text("✓  ") or self.text("✗  "))

    def look(self, name):
        if self.pictures:
            time.sleep(1)
            subprocess.run(["import", "-window", "root", "+dither", "-colors", "96",
                            f"{self.pictures}/app-{name}.png"], check=True)
