#!/usr/bin/env python3
"""Set Hingeline up in this folder and start it.

python3 start.py                  make ready, then open the program on its worked example
python3 start.py -- ARGUMENTS     the same, handing ARGUMENTS to the program
python3 start.py --from FOLDER    make ready from downloaded wheels, without network
python3 start.py test             make ready for the tests and run them
python3 start.py test --all       the long ones too
python3 start.py test -k hinge    whatever else follows is handed to pytest

All that is installed lies in the folder .venv and can be deleted at any time.
"""

# Only the standard library is used, and the syntax is that of old Pythons on purpose:
# whoever starts this with one of them is told which Python is needed.

import contextlib
import errno
import hashlib
import json
import os
import re
import shutil
import subprocess
import sys

OLDEST, NEWEST = (3, 11), (3, 15)
TRIED = ("3.14", "3.13", "3.12", "3.11")
NEEDED_MB = {"run": 700, "test": 1300}  # on disk, while installing
MINUTES = {"short": 15, "long": 60}  # that the tests may take
# One process for each core, a file of tests never parted between two of them.
ON_EVERY_CORE = ["-n", "auto", "--maxprocesses", "8", "--dist", "loadfile"]

WINDOWS = os.name == "nt"
ROOT = os.path.dirname(os.path.abspath(__file__))
VENV = os.path.join(ROOT, ".venv")
STAMP = os.path.join(VENV, "hingeline.json")

NO_CONNECTION = (
    "Failed to establish a new connection|NameResolutionError|ConnectTimeout|Read timed out"
    "|Network is unreachable|Connection refused|Connection reset"
)
WHAT_PIP_SAYS = (
    ("No space left on device", "The disk is full: free some space and start again."),
    (
        "CERTIFICATE_VERIFY",
        "The index's certificate is not trusted: install ca-certificates.",
    ),
    ("ProxyError", "The proxy lets nothing through: check pip's settings and HTTPS_PROXY."),
    (NO_CONNECTION, "The package index is out of reach: check the network, or use --from."),
    ("DO NOT MATCH THE HASHES", "A file is not the one that was tried, so it is not used."),
    ("No matching distribution", "A package has no file for this Python and system there."),
    ("Permission denied", "Some place that pip needs may not be written to."),
)


class StopError(Exception):
    """One sentence for the person, and the exit code."""

    def __init__(self, sentence, code=1):
        Exception.__init__(self, sentence)
        self.code = code


def main(argv):
    """Do what the command line asks for and return the exit code."""
    try:
        wish = read_wish(argv)
        if not fits(sys.version_info):
            return hand_over([find_python(), os.path.join(ROOT, "start.py")] + argv)
        make_ready(wish)
        return run_tests(wish) if wish["set"] == "test" else run_program(wish)
    except StopError as stop:
        say(str(stop))
        return stop.code
    except KeyboardInterrupt:
        say("Stopped. The next start takes it up again.")
        return 130
    except (IOError, OSError) as error:
        say(explain_system(error))
        return 1


def say(text):
    """Talk on the error channel: the other one belongs to the program."""
    sys.stderr.write(text + "\n")
    sys.stderr.flush()


def hear(command, listen=None, **settings):
    """Run a command and return its exit code and all it said, line by line to listen."""
    said = {"stdout": subprocess.PIPE, "stderr": subprocess.STDOUT}
    running = subprocess.Popen(
        command, env=dict(os.environ, LC_ALL="C", **settings), **said
    )
    lines = []
    with running.stdout:
        for line in running.stdout:
            lines.append(line.decode("utf-8", "replace"))
            if listen:
                listen(lines[-1])
    return running.wait(), "".join(lines)


def read_wish(argv):
    """Return set (run or test), long, folder (of wheels, or None), arguments to pass on."""
    wish = {"set": "run", "long": False, "folder": None, "arguments": []}
    words = list(argv)
    while words:
        word = words.pop(0)
        if word == "--from":
            if not words:
                raise StopError("--from needs the folder that holds the wheels.", 2)
            wish["folder"] = os.path.abspath(words.pop(0))
        elif word == "--":
            wish["arguments"] += words
            break
        elif wish["set"] == "test":
            if word == "--all":
                wish["long"] = True
            else:
                wish["arguments"].append(word)
        elif word == "test":
            wish["set"] = "test"
        elif word in ("-h", "--help"):
            raise StopError(__doc__.strip(), 0)
        else:
            raise StopError(
                "start.py does not know %r. What is meant for the program comes"
                " after --, as in: python3 start.py -- %s" % (word, word),
                2,
            )
    return wish


# -- Which Python ----------------------------------------------------------------------


def fits(version):
    """Tell whether the program runs on this version of Python."""
    return OLDEST <= tuple(version[:2]) <= NEWEST


def find_python(path=None):
    """Return the first working python3.x on the path that fits."""
    folders = (os.environ.get("PATH", "") if path is None else path).split(os.pathsep)
    for version in TRIED:
        for folder in folders:
            program = os.path.join(folder, "python" + version + (".exe" if WINDOWS else ""))
            # A name on the path may be a mere signpost to a Python that is not there.
            if os.access(program, os.X_OK) and _is_python(program, version):
                return program
    raise StopError(
        "Hingeline needs Python %d.%d to %d.%d; this is %d.%d, and the PATH holds none of"
        " python%s. Install one of them and start again."
        % (OLDEST + NEWEST + tuple(sys.version_info[:2]) + (", python".join(TRIED),))
    )


def _is_python(program, version):
    ask = "import sys; print('%d.%d' % sys.version_info[:2])"
    try:
        code, text = hear([program, "-c", ask])
    except OSError:
        return False
    return code == 0 and text.strip() == version


def base_python():
    """Return the Python that makes the environment, never the environment's own."""
    return getattr(sys, "_base_executable", None) or sys.executable


# -- The environment -------------------------------------------------------------------


def make_ready(wish):
    """See that .venv holds what is pinned, and that Qt finds its libraries."""
    if not is_ready(wish["set"], read_stamp()):
        with alone():
            if not is_ready(wish["set"], read_stamp()):
                install(wish["set"], wish["folder"])
    missing = missing_libraries()
    if missing and may_use_apt():
        apt_install([debian_package(library) for library in missing])
        missing = missing_libraries()
    if missing:
        advice = library_advice(missing)
        if wish["set"] == "test" or (has_display() and not wish["arguments"]):
            raise StopError(advice)
        say(advice + "\nWithout them there is no window; the rest works.")


def venv_python():
    """Return the path of the environment's Python."""
    if WINDOWS:
        return os.path.join(VENV, "Scripts", "python.exe")
    return os.path.join(VENV, "bin", "python")


def site_packages():
    """Return the folder the packages are installed in."""
    if WINDOWS:
        return os.path.join(VENV, "Lib", "site-packages")
    return os.path.join(VENV, "lib", "python%d.%d" % sys.version_info[:2], "site-packages")


def pins(which):
    """Return the path of the pinned set: run or test."""
    return os.path.join(ROOT, "app", "requirements", which + ".txt")


def read_stamp():
    """Return what was installed last, or None where that was not finished."""
    try:
        with open(STAMP, encoding="utf-8") as file:
            stamp = json.load(file)
    except (OSError, ValueError):
        return None
    return stamp if isinstance(stamp, dict) else None


def expected(which):
    """Return what the stamp has to say for the set to be there and current."""
    with open(pins(which), "rb") as file:
        digest = hashlib.sha256(file.read()).hexdigest()
    return {"python": "%d.%d.%d" % sys.version_info[:3], "folder": ROOT, which: digest}


def is_ready(which, stamp):
    """Tell whether the set is installed, current, for this Python, and unbroken."""
    if stamp is None or not os.path.exists(venv_python()):
        return False
    if any(stamp.get(key) != value for key, value in expected(which).items()):
        return False
    return set(stamp.get("holds", ())) <= set(_held())


def _held():
    try:
        return [name for name in os.listdir(site_packages()) if name != "__pycache__"]
    except OSError:
        return []


def install(which, folder):
    """Make .venv, or add the test set to a sound one; the stamp is written last."""
    check_room(which, folder)
    stamp = read_stamp()
    if which == "test" and is_ready("run", stamp):
        os.remove(STAMP)
    else:
        stamp = {}
        make_environment()
    say("Installing what Hingeline needs (the first time this takes a minute or two) ...")
    pip_install(which, folder)
    # A line in a .pth file puts this folder on the environment's import path.
    path_file = os.path.join(site_packages(), "hingeline.pth")
    with open(path_file, "w", encoding="utf-8") as file:
        file.write(ROOT + "\n")
    stamp.update(expected(which))
    if which == "test":  # the test set holds the other one
        stamp.update(expected("run"))
    stamp["holds"] = sorted(_held())
    with open(STAMP + ".part", "w", encoding="utf-8") as file:
        json.dump(stamp, file, indent=1)
    os.replace(STAMP + ".part", STAMP)


def check_room(which, folder):
    """Refuse early what would fail late."""
    if folder and not os.path.isdir(folder):
        raise StopError("There is no folder %s to install from." % folder)
    if not os.access(ROOT, os.W_OK):
        raise StopError(
            "The folder %s may not be written to: copy it to a place of your own"
            " and start it there." % ROOT
        )
    free = shutil.disk_usage(ROOT).free // 1000000
    if free < NEEDED_MB[which]:
        raise StopError(
            "Only %d MB are free on the disk of %s; about %d MB are needed."
            % (free, ROOT, NEEDED_MB[which])
        )


def make_environment():
    """Make an empty .venv; one that is broken, half-made or outdated goes first."""
    if os.path.islink(VENV):
        os.remove(VENV)
    elif os.path.isdir(VENV):
        say("Making .venv anew, since it is unfinished, broken or outdated ...")
        shutil.rmtree(VENV)
    import importlib.util

    if importlib.util.find_spec("ensurepip") is None:
        package = "python%d.%d-venv" % sys.version_info[:2]
        if not may_use_apt():
            raise StopError(
                "This Python cannot make environments. Install what it lacks with\n  "
                + apt_line([package])
            )
        apt_install([package])
    code, text = hear([base_python(), "-m", "venv", VENV])
    if code:
        raise StopError(explain_lines("Python could not make the folder .venv.", text))


def pip_install(which, folder):
    """Let pip, with its own settings, install the pinned set."""
    command = [venv_python(), "-m", "pip", "install", "--require-hashes", "-r", pins(which)]
    command += ["--only-binary", ":all:", "--progress-bar", "off"]
    command += ["--disable-pip-version-check"]
    if folder:
        command += ["--no-index", "--find-links", folder]
    code, text = hear(command, _name_package, PIP_USER="0", PYTHONUNBUFFERED="1")
    if code:
        raise StopError(explain_pip(text))


def _name_package(line):
    named = re.match(r"Collecting ([^\s;]+)", line)
    if named:
        say("  " + named.group(1))


def explain_pip(text):
    """Return one sentence on why pip failed, and its last lines."""
    for pattern, sentence in WHAT_PIP_SAYS:
        if re.search(pattern, text):
            return explain_lines(sentence, text)
    return explain_lines("pip could not install what is needed.", text)


def explain_lines(sentence, text):
    """Return the sentence with the last lines of what a program said."""
    lines = [line.strip() for line in text.splitlines()]
    lines = [line for line in lines if line and not line.startswith("Ignoring ")]
    return "\n    ".join([sentence + " The last lines were:"] + lines[-6:])


def explain_system(error):
    """Return one sentence on what the system refused."""
    where = getattr(error, "filename", None) or ROOT
    if error.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", None)):
        return "The disk of %s is full: free some space and start again." % where
    if error.errno in (errno.EACCES, errno.EPERM, errno.EROFS):
        return "%s may not be written to: who owns it?" % where
    return "%s: %s." % (where, error.strerror or error)


@contextlib.contextmanager
def alone():
    """Let one start at a time set up; another one waits for it."""
    try:
        import fcntl
    except ImportError:  # not on Windows
        yield
        return
    with open(os.path.abspath(__file__), "rb") as file:
        fcntl.flock(file, fcntl.LOCK_EX)
        yield


# -- The libraries of the system -------------------------------------------------------


def missing_libraries():
    """Return the shared libraries that Qt needs for a window and this Linux lacks."""
    if not sys.platform.startswith("linux"):
        return []
    qt = os.path.join(site_packages(), "PySide6")
    probes = [
        os.path.join(qt, "QtWidgets.abi3.so"),
        os.path.join(qt, "Qt", "plugins", "platforms", "libqxcb.so"),
    ]
    if not shutil.which("ldd"):  # Qt will have to speak for itself
        return []
    return sorted(set(re.findall(r"(\S+) => not found", hear(["ldd"] + probes)[1])))


def debian_package(library):
    """Return the Debian package of a shared library, such as libx11-6 for libX11.so.6.

    Debian's policy manual, section 8.1 [memory], has the rule; GLib's name is older.
    """
    name, version = library.split(".so.")
    if name in ("libglib-2.0", "libgthread-2.0"):
        return "libglib2.0-0"
    return (name + ("-" if name[-1].isdigit() else "") + version.split(".")[0]).lower()


def library_advice(missing):
    """Return the one line that installs what is missing."""
    text = "Qt lacks these libraries of the system: %s." % ", ".join(missing)
    if not shutil.which("apt-get"):
        return text + " Install them with the package manager of this system."
    packages = sorted({debian_package(library) for library in missing})
    return text + " Install them with\n  " + apt_line(packages)


def apt_line(packages):
    """Return the command that a person types to install Debian packages."""
    sudo = "" if os.geteuid() == 0 else "sudo "
    return "%sapt-get install -y %s" % (sudo, " ".join(packages))


def may_use_apt():
    """Tell whether this is root's own container, where installing disturbs nobody."""
    if WINDOWS or os.geteuid() != 0 or not shutil.which("apt-get"):
        return False
    marks = ("/.dockerenv", "/run/.containerenv", "/run/systemd/container")
    # A container, a chroot and the like have no service manager running.
    return any(map(os.path.exists, marks)) or not os.path.isdir("/run/systemd/system")


def apt_install(packages):
    """Install Debian packages without questions."""
    packages = sorted(set(packages))
    say("Installing with apt: %s ..." % " ".join(packages))
    for words in (["update"], ["install", "-y", "--no-install-recommends"] + packages):
        code, text = hear(["apt-get", "-q"] + words, DEBIAN_FRONTEND="noninteractive")
        if code:
            raise StopError(explain_lines("apt-get %s failed." % words[0], text))


# -- Starting --------------------------------------------------------------------------


def has_display():
    """Tell whether a window could be seen here."""
    if not sys.platform.startswith("linux"):
        return True
    return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def run_program(wish):
    """Open the window; without a display, work the example through in words."""
    arguments = wish["arguments"]
    if not arguments and not has_display():
        say("There is no display here, so the worked example is told in words.")
        arguments = ["demo"]
    return hand_over([venv_python(), "-P", "-m", "app"] + arguments)


def run_tests(wish):
    """Run pytest from this folder, within the minutes that the tests may take."""
    minutes = MINUTES["long" if wish["long"] else "short"]
    command = [venv_python(), "-m", "pytest", "--session-timeout=%d" % (60 * minutes)]
    os.chdir(ROOT)
    os.environ.pop("PYTEST_QT_API", None)  # it would overrule the project's own choice
    command += ON_EVERY_CORE + (["--long"] if wish["long"] else [])
    return hand_over(command + wish["arguments"])


def hand_over(command):
    """Let the command take this program's place; its exit code is ours."""
    sys.stdout.flush()
    sys.stderr.flush()
    if WINDOWS:
        return subprocess.call(command)
    return os.execv(command[0], command)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
