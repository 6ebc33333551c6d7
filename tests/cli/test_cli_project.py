#!/usr/bin/python3
"""A project from the command line: strokes, undo, notes, snapshots, and what is refused."""

import json
import os
import re
import sqlite3
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "judges"))
import tap  # noqa: E402

np, pil = tap.needs("numpy", "PIL.Image")
from PIL import Image, ImageDraw  # noqa: E402

TOMBOLO = os.environ["TOMBOLO"]
FOLDER = tempfile.TemporaryDirectory(prefix="tombolo-project-")


def at(name):
    return os.path.join(FOLDER.name, name)


def run(*words):
    return subprocess.run([TOMBOLO, *words], capture_output=True, text=True, timeout=120,
                          env={**os.environ, "LC_ALL": "C.UTF-8"})


def good(*words):
    done = run(*words)
    assert done.returncode == 0, (words, done.returncode, done.stderr)
    return done.stdout


def told(*words):
    return json.loads(good(*words, "--json"))


def refused(status, *words, because):
    done = run(*words)
    assert done.returncode == status, (words, done.returncode, done.stderr)
    assert re.fullmatch(r"tombolo: [^\n]+\n", done.stderr) and because in done.stderr, done.stderr


def project(name):
    """A project of a head on a wall, 80 x 100 mm."""
    picture = Image.new("L", (400, 500), 205)
    draw = ImageDraw.Draw(picture)
    draw.ellipse((90, 60, 310, 380), fill=40)
    draw.ellipse((120, 110, 280, 350), fill=200)
    draw.ellipse((150, 190, 180, 210), fill=20)
    draw.ellipse((220, 190, 250, 210), fill=20)
    draw.rectangle((60, 420, 340, 500), fill=60)
    picture.save(at("head.png"))
    done = run("make", at("head.png"), "-o", at(name), "--width", "80mm", "--height", "100mm",
               "--resolution", "5", "--title", "Head")
    assert done.returncode in (0, 1), done.stderr
    return os.path.join(at(name), "project.tombolo")


@tap.test
def strokes_are_counted_undone_and_redone():
    path = project("counted")
    for i in range(6):
        good("paint", path, "--wood", "--width", "2mm", f"20,{20 + i}", f"30,{20 + i},3.5")
    said = told("undo", path, "--times", "2")
    assert (said["strokes"], said["undone"]) == (4, 2), said
    said = told("redo", path)
    assert (said["strokes"], said["undone"]) == (5, 1), said
    info = told("info", path)
    assert (info["strokes"], info["undone"]) == (5, 1) and info["size_mm"] == [80, 100], info
    assert info["verdict"] and info["title"] == "Head"
    names = [(line["name"], line["undone"]) for line in told("history", path)]
    assert names == [("start", False)] + [("wood", False)] * 5 + [("wood", True)], names
    refused(2, "redo", path, "--times", "9", because="nothing to redo")


@tap.test
def islands_are_taken_out_and_openings_closed():
    path = project("pieces")
    before = told("check", path)
    good("paint", path, "--close", "33,40")
    after = told("check", path)
    assert after["openings"] == before["openings"] - 1, (before["openings"], after["openings"])
    good("paint", path, "--take-out", "40,55")
    refused(2, "paint", path, "--take-out", "1,1", because="no piece")
    refused(2, "paint", path, "--close", "1,1", because="no opening")


@tap.test
def notes_and_snapshots_come_back():
    path = project("kept")
    good("note", path, "20,30", "the ear, too thin?")
    note = told("note", path)[0]
    assert (note["x_mm"], note["text"]) == (20, "the ear, too thin?"), note
    good("snapshot", path, "with a note")
    good("note", path, "--remove", str(note["note"]))
    assert told("note", path) == []
    refused(4, "snapshot", path, "with a note", because="already")
    good("restore", path, "with a note")
    assert len(told("note", path)) == 1
    good("undo", path)
    assert told("note", path) == []
    assert [s["name"] for s in told("snapshot", path)] == ["with a note"]
    refused(2, "restore", path, "without", because="without")


@tap.test
def what_makes_no_sense_is_refused_and_changes_nothing():
    path = project("refused")
    with open(path, "rb") as f:
        before = f.read()
    refused(2, "paint", path, "1,2", because="--wood")
    refused(2, "paint", path, "--wood", "--saw", "1,2", because="one of")
    refused(2, "paint", path, "--wood", because="point")
    refused(2, "paint", path, "--wood", "1;2", because="1;2")
    refused(2, "paint", path, "--wood", "1,2,3,4", because="1,2,3,4")
    refused(2, "paint", path, "--wood", "1,99999999", because="beyond")
    refused(2, "paint", path, "--close", "1,2", "3,4", because="one point")
    refused(2, "undo", path, because="nothing to undo")
    refused(2, "note", path, "1,2", because="note")
    refused(2, "note", path, "1,2", " ", because="no words")
    refused(3, "info", at("nothing.tombolo"), because="nothing.tombolo")
    refused(3, "undo", at("head.png"), because="not a Tombolo project")
    with open(path, "rb") as f:
        assert f.read() == before


@tap.test
def a_newer_project_is_shown_and_not_changed():
    path = project("newer")
    db = sqlite3.connect(path)
    db.execute("PRAGMA user_version=2")
    db.commit()
    db.close()
    assert "newer version" in told("info", path)["remark"]
    refused(4, "paint", path, "--wood", "1,2", because="newer version")


@tap.test
def negative_points_stand_behind_two_dashes():
    path = project("negative")
    good("paint", path, "--wood", "--", "-1,5", "3,5")
    assert told("info", path)["strokes"] == 1


tap.run()
