"""Kate itself drives the server on a real score: kate.py, in the project's folder, with a screen (xvfb-run).

WATERKEY is the program, SCORES a folder that may be written to. What goes over the wire is kept by a program
between them; keys are pressed with xdotool. A picture is left in SCORES/kate.png.
"""

import json
import os
import pathlib
import re
import signal
import subprocess
import sys
import time

HOME = pathlib.Path(os.environ["SCORES"], "kate")
SCORE = HOME / "lantern.brass"
TEXT = [
    "brass 1",
    "player Tb1 = straight trombone",
    "player Tp1 = trumpet in Bb, level school",
    "",
    "bar 1  meter 4/4  key Bb major  tempo q = 72",
    'Tb1 | h : "\U0001d11e" Eb2 F2 |',
    "Tp1 | h : A5 F4 |",
    "",
]
BETWEEN = """#!/bin/sh
exec 2>{home}/server.log
tee {home}/asked | "{program}" "$@" | tee {home}/answered
"""


def set_up():
    for folder in ("config/kate/lspclient", "data/org.kde.syntax-highlighting/syntax", "data/kate", "bin"):
        (HOME / folder).mkdir(parents=True)
    SCORE.write_bytes("\r\n".join(TEXT).encode())
    between = HOME / "bin/waterkey"
    between.write_text(BETWEEN.format(home=HOME, program=os.environ["WATERKEY"]))
    between.chmod(0o755)
    files = pathlib.Path("editors/kate")
    (HOME / "data/org.kde.syntax-highlighting/syntax/brass.xml").write_bytes((files / "brass.xml").read_bytes())
    (HOME / "config/kate/lspclient/settings.json").write_bytes((files / "settings.json").read_bytes())
    # A person is asked once whether the server may be started.
    (HOME / "config/katerc").write_text(
        f"[lspclient]\nAllowedServerCommandLines={between} serve\nAutoHover=true\n"
        "[General]\nStartup Session=new\nShow welcome view for new window=false\nFirst Start Notified=true\n"
        "[Kate Plugins]\nlspclientplugin=true\n"
        "[KTextEditor Document]\nAuto Brackets=false\n"
    )
    (HOME / "data/kate/anonymous.katesession").write_text("[Kate Plugins]\nlspclientplugin=true\n")


def messages(name):
    try:
        wire = (HOME / name).read_bytes()
    except FileNotFoundError:
        return []
    found, at = [], 0
    while header := re.compile(rb"Content-Length: (\d+)\r\n(?:[^\r\n]+\r\n)*\r\n").match(wire, at):
        end = header.end() + int(header[1])
        if end > len(wire):
            break
        found.append(json.loads(wire[header.end() : end]))
        at = end
    return found


def until(what, so):
    for _ in range(1500):
        if got := so():
            return got
        time.sleep(0.02)
    raise AssertionError(f"{what} never came")


def asked(method):
    return [m["params"] for m in messages("asked") if m.get("method") == method]


def findings():
    """Code and columns of what was told last, in UTF-16 units."""
    told = [m["params"] for m in messages("answered") if m.get("method") == "textDocument/publishDiagnostics"]
    places = [
        (d["code"], d["range"]["start"]["line"], d["range"]["start"]["character"], d["range"]["end"]["character"])
        for d in (told[-1]["diagnostics"] if told else [])
    ]
    return sorted(places)


def press(*keys):
    subprocess.run(["xdotool", *keys], check=True)


def main():
    set_up()
    environment = {
        **os.environ,
        "HOME": str(HOME),
        "XDG_CONFIG_HOME": str(HOME / "config"),
        "XDG_DATA_HOME": str(HOME / "data"),
        "XDG_CACHE_HOME": str(HOME / "cache"),
        "XDG_RUNTIME_DIR": str(HOME),
        "PATH": f"{HOME}/bin:{os.environ['PATH']}",
        "LC_ALL": "C.UTF-8",
        "QT_QPA_PLATFORM": "xcb",
    }
    HOME.chmod(0o700)
    version = subprocess.run(["kate", "--version"], capture_output=True, text=True, env=environment).stdout.strip()
    windows = subprocess.Popen(["openbox"], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    log = open(HOME / "kate.log", "wb")
    kate = subprocess.Popen(
        ["dbus-run-session", "kate", "--block", "--line", "7", "--column", "14", str(SCORE)],
        env=environment, stdout=log, stderr=log, start_new_session=True,
    )  # fmt: skip
    try:
        opened = until("the score at the server", lambda: asked("textDocument/didOpen"))[0]["textDocument"]
        assert opened["languageId"] == "brass", opened
        assert opened["text"].splitlines() == TEXT[:-1], opened
        until("the findings", lambda: findings() == [("too-high", 6, 10, 12), ("tube-gap", 5, 15, 18)])
        # A person types.
        window = until(
            "a window",
            lambda: subprocess.run(["xdotool", "search", "--name", "lantern"], capture_output=True, text=True).stdout,
        ).split()[0]
        press("windowactivate", "--sync", window)
        press("key", "ctrl+Home")
        for _ in range(6):
            press("key", "Down")
        for _ in range(12):
            press("key", "Right")
        press("key", "BackSpace")
        press("key", "BackSpace")
        press("type", "D5")
        until("findings without the note that is gone", lambda: findings() == [("tube-gap", 5, 15, 18)])
        subprocess.run(["import", "-window", "root", str(HOME.parent / "kate.png")], check=False)
        loud = [m["params"] for m in messages("answered") if m.get("method") == "window/showMessage"]
        assert not loud, loud
        print(f"{version}: good")
    except Exception:
        subprocess.run(["import", "-window", "root", str(HOME.parent / "kate.png")], check=False)
        print((HOME / "kate.log").read_text(errors="replace")[-3000:], file=sys.stderr)
        print([m.get("method") for m in messages("asked")], findings(), file=sys.stderr)
        raise
    finally:
        os.killpg(kate.pid, signal.SIGTERM)
        windows.terminate()


main()
